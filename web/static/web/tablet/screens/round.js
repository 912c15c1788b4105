// The round: every place to look at, in the order of the risk, by area of the boat, by sticker, and on the plan.

import { button, h } from "../dom.js";
import { readTag } from "../tag_code.js";
import { slipWords } from "../slips.js";
import { t, word } from "../words.js";
import { answerMark, back, boatOf, newerTemplates } from "./aboard.js";
import { planOf } from "./plan.js";
import { canScan, scan } from "./scanning.js";

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show(call) {
  const { aboard, inspection } = await boatOf(call);
  const { query } = call;
  const by = query.get("by") === "area" ? "area" : "risk";
  const all = query.get("all") === "1";
  const { total, done, left } = aboard.progress();
  const next = aboard.next();
  const way = (/** @type {string} */ key, /** @type {string} */ words) =>
    h("a", { href: `#/boat/${inspection}/round?by=${key}&all=${all ? 1 : 0}`, "aria-current": key === by ? "true" : null }, words);
  return {
    title: t("round.title", { boat: aboard.body.boat.name }),
    back: back(),
    boat: inspection,
    body: [
      h("p", { class: "purpose" }, t("round.progress", { done, total, n: left })),
      newerTemplates(aboard),
      next && h("p", { class: "deeds" }, h("a", { class: "button main", id: "next", href: `#/boat/${inspection}/check/${next.id}` }, t("round.next"), ": ", aboard.partName(next.component))),
      stickerForm(call, aboard, inspection),
      h("div", { class: "ways" }, h("nav", { class: "tabs", "aria-label": t("round.ways") }, way("risk", t("round.by_risk")), way("area", t("round.by_area"))),
        h("a", { class: "step-aside", href: `#/boat/${inspection}/round?by=${by}&all=${all ? 0 : 1}` }, t(all ? "round.open_only" : "round.all"))),
      ...(by === "area" ? areas() : [list(aboard.body.checks)]),
      aboard.outside.length > 0 && h("section", {}, h("h2", {}, t("round.outside")), h("ul", { class: "rows" }, aboard.outside.map((said) =>
        h("li", { class: "row" }, h("span", { class: "row-name" }, aboard.placeName(said.sheet)), answerMark(said, aboard.body))))),
    ],
  };

  function areas() {
    return aboard.body.areas.map((/** @type {any} */ area) => {
      const checks = area.checks.map((/** @type {number} */ id) => aboard.checks.get(id)).filter(Boolean);
      return h("section", {}, h("h2", {}, area.name), list(checks));
    });
  }

  /** @param {any[]} checks */
  function list(checks) {
    const shown = all ? checks : checks.filter(({ id }) => !aboard.answered(id));
    if (!shown.length) return h("p", { class: "none" }, t("round.nothing_left"));
    return h("ol", { class: "rows" }, shown.map((check) => h("li", {},
      h("a", { class: "row", href: `#/boat/${inspection}/check/${check.id}` },
        h("span", { class: "row-name" }, check.prompt),
        h("span", { class: "soft" }, aboard.partName(check.component)),
        h("span", { class: "row-end" }, aboard.answerTo(check.id) ? answerMark(aboard.answerTo(check.id), aboard.body) : risk(check))))));
  }

  /** @param {any} check */
  function risk(check) {
    return h("span", { class: "soft" }, check.risk ? t("round.risk", { risk: word("risk", check.risk, aboard.body) }) : "",
      check.earlier?.length ? ` · ${t("round.found_before")}` : "");
  }
}

/**
 * To the place that carries a sticker.
 *
 * @param {import("../app.js").Call} call @param {import("../aboard.js").Aboard} aboard @param {number} inspection
 */
function stickerForm({ page }, aboard, inspection) {
  const problem = h("p", { class: "refused", role: "alert", hidden: true });
  const input = h("input", { id: "sticker", type: "text", class: "code", autocomplete: "off", autocapitalize: "characters", spellcheck: "false" });
  const refuse = (/** @type {string} */ text) => {
    problem.textContent = text;
    problem.hidden = false;
  };
  const find = (/** @type {import("../tag_code.js").Read | import("../tag_code.js").Slip} */ read) => {
    if (!("code" in read)) return refuse(slipWords(read));
    const spot = aboard.spotOfTag(read.code);
    if (!spot) return void page.go(`/boat/${inspection}/besides?tag=${read.code}`);
    const check = aboard.body.checks.find((/** @type {any} */ one) => one.spot === spot.id)
      ?? aboard.body.checks.find((/** @type {any} */ one) => one.component === spot.component && !aboard.answered(one.id))
      ?? aboard.body.checks.find((/** @type {any} */ one) => one.component === spot.component);
    return void page.go(check ? `/boat/${inspection}/check/${check.id}?spot=${spot.id}` : `/boat/${inspection}/finding?component=${spot.component}&spot=${spot.id}`);
  };
  return h("details", { class: "sticker" }, h("summary", {}, t("sticker.find")),
    h("form", { on: { submit: (/** @type {Event} */ event) => { event.preventDefault(); find(readTag(input.value)); } } },
      problem, h("label", { for: "sticker" }, t("sticker.code")), input,
      h("p", { class: "deeds" }, h("button", {}, t("sticker.go")),
        canScan() && button(t("sticker.scan"), async () => { const read = await scan(); if (read) find(read); }))));
}

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function plan(call) {
  const { aboard, inspection } = await boatOf(call);
  const placed = [...aboard.spots.values()].filter(({ plan_x }) => plan_x !== null && plan_x !== undefined);
  const unplaced = [...aboard.spots.values()].filter((spot) => !placed.includes(spot));
  const target = (/** @type {any} */ spot) => {
    const check = aboard.body.checks.find((/** @type {any} */ one) => one.spot === spot.id)
      ?? aboard.body.checks.find((/** @type {any} */ one) => one.component === spot.component);
    return check ? `#/boat/${inspection}/check/${check.id}?spot=${spot.id}` : `#/boat/${inspection}/finding?component=${spot.component}&spot=${spot.id}`;
  };
  const line = (/** @type {any} */ spot, /** @type {number | null} */ number) => h("li", {}, h("a", { class: "row", href: target(spot) },
    h("span", { class: "row-name" }, number === null ? "" : `${number}. `, spot.name),
    h("span", { class: "soft" }, aboard.partName(spot.component)),
    h("span", { class: "row-end code" }, spot.tag ? `${spot.tag.slice(0, 4)}-${spot.tag.slice(4)}` : t("spot.no_tag"))));
  return {
    title: t("plan.title", { boat: aboard.body.boat.name }),
    back: back(),
    boat: inspection,
    body: [
      h("p", { class: "purpose" }, t("plan.purpose")),
      h("figure", { class: "sheet" }, planOf(aboard.body, placed.map((spot, place) => ({ x: spot.plan_x, y: spot.plan_y, label: String(place + 1) })), t("plan.label", { n: placed.length }))),
      h("ol", { class: "rows" }, placed.map((spot, place) => line(spot, place + 1))),
      unplaced.length > 0 && h("section", {}, h("h2", {}, t("plan.unplaced")), h("ul", { class: "rows" }, unplaced.map((spot) => line(spot, null)))),
    ],
  };
}
