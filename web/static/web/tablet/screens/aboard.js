// What the screens of one boat share.

import { h, svg } from "../dom.js";
import { t, word } from "../words.js";

/** The boat of a screen is not on this tablet, or has no such place. */
export class NotHere extends Error {}

/**
 * The boat of a screen.
 *
 * @param {import("../app.js").Call} call
 * @throws {NotHere} she was not fetched
 */
export async function boatOf({ tablet, params }) {
  const inspection = Number(params[0]);
  const aboard = await tablet.aboard(inspection);
  if (!aboard) throw new NotHere();
  return { aboard, inspection };
}

/** @returns {import("../app.js").Screen} */
export const notHere = () => ({ title: t("boat.missing"), back: back(), body: [h("p", { class: "note" }, t("boat.missing_why"))] });

export const back = () => ({ href: "#/today", words: t("today.title") });

// The same shapes as on the plan and in the report: filled and pointed is urgent, open and round can wait.
const SHAPES = {
  before_launch: "M0-4.6 4.8 4H-4.8Z", this_season: "M0-4.8 4.8 0 0 4.8-4.8 0Z", next_layup: "M-3.9-3.9H3.9V3.9H-3.9Z",
  watch: "M-4.1 0a4.1 4.1 0 1 0 8.2 0a4.1 4.1 0 1 0-8.2 0",
};
const SOLID = new Set(["before_launch", "this_season"]);

/** @param {string} code */
export const shape = (code) => svg("svg", { class: "shape", viewBox: "-5 -5 10 10", "aria-hidden": "true", focusable: "false" },
  svg("path", { d: SHAPES[/** @type {keyof typeof SHAPES} */ (code)] ?? "", class: SOLID.has(code) ? "solid" : "" }));

/** @param {string} code @param {any} body */
export const priority = (code, body) => h("span", { class: "priority" }, shape(code), " ", word("priority", code, body));

/** How an answer is told in a list: a mark and a word. @param {import("../aboard.js").Said | undefined} said @param {any} body */
export function answerMark(said, body) {
  if (!said) return h("span", { class: "answer-mark none" }, t("answer.none"));
  const mark = { sound: "✓", finding: "●", not_seen: "◌", not_fitted: "–" }[said.answer] ?? "";
  return h("span", { class: `answer-mark ${said.answer}` }, h("span", { "aria-hidden": "true" }, `${mark} `), word("answer", said.answer, body),
    said.where === "kept" && h("span", { class: "soft" }, ` · ${t("here_only")}`),
    said.where === "refused" && h("strong", {}, ` · ${t("refused_word")}`));
}

/** That the yard asks otherwise by now, and this inspection does not. @param {import("../aboard.js").Aboard} aboard */
export function newerTemplates(aboard) {
  const classes = aboard.newerTemplates();
  return classes.length > 0 && h("p", { class: "note" }, t("templates.newer", { n: classes.length, classes: classes.join(", ") }));
}

/** @param {import("../aboard.js").Aboard} aboard @param {string} code */
export const signName = (aboard, code) => aboard.signs.get(code)?.name ?? code;

const urls = new Map();

/** A picture that is kept here, large; the words where it is not. @param {import("../tablet.js").Tablet} tablet @param {string} sha256 @param {string} alt */
export async function keptPicture(tablet, sha256, alt) {
  const blob = (await tablet.store.photo(sha256))?.blob ?? (await tablet.store.picture(sha256));
  if (!blob) return h("p", { class: "blank" }, t("picture.missing"));
  if (!urls.has(sha256)) urls.set(sha256, URL.createObjectURL(blob));
  return h("img", { src: urls.get(sha256), alt });
}
