// What the yard could not take, in the words of whoever said it: what is the matter and what would do. The yard speaks
// to programs and names its own fields; that stands beside, folded, for the office.

import { h } from "./dom.js";
import { t } from "./words.js";

/** @type {[RegExp, string][]} the first that fits a field */
export const ABOUT = [
  [/^spot\.tag$/, "tag"],
  [/^spot\b/, "spot"],
  [/^(check|component|elsewhere|boat|inspection)\b/, "place"],
  [/^signs\b/, "signs"],
  [/^readings\b/, "reading"],
  [/^size_mm$/, "size"],
  [/^(not_seen_reason|reason)$/, "reason"],
  [/^note$/, "note"],
  [/^photos?\b/, "photo"],
  [/^(observed_at|clock_offset_ms)$/, "clock"],
  [/^author$/, "author"],
  [/^supersedes$/, "earlier"],
  [/^(step|outcome)\b/, "step"],
  [/^pin$/, "pin"],
];

/** @typedef {import("./asking.js").Objection} Objection */

/** @param {Objection[] | undefined} errors @returns {string[]} each said once */
export function refusalWords(errors) {
  const said = (errors ?? []).map(({ field }) => ABOUT.find(([pattern]) => pattern.test(field))?.[1] ?? "other");
  return [...new Set(said.length ? said : ["other"])].map((about) => t(`refused.${about}`));
}

/** @param {{ why?: string, errors?: Objection[] }} refused @returns {Node[]} */
export function refusalTold({ why, errors }) {
  const own = [why, ...(errors ?? []).map(({ field, problem, remedy }) => `${field}: ${problem}; ${remedy}.`)].filter(Boolean);
  return [...refusalWords(errors).map((text) => h("p", {}, text)), ...asSaid(own)];
}

/** The yard's own words, folded. @param {(string | undefined)[]} own @returns {Node[]} */
export function asSaid(own) {
  const lines = own.filter(Boolean);
  return lines.length ? [h("details", {}, h("summary", {}, t("refused.for_office")), lines.map((text) => h("p", { class: "soft", lang: "en" }, text)))] : [];
}
