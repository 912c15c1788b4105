// The spot: one that is known at this part, or a new one with its sticker, its name and its place on the plan.

import { button, choice, h, refill } from "../dom.js";
import { readTag, showTag } from "../tag_code.js";
import { slipWords } from "../slips.js";
import { uuid7 } from "../uuid7.js";
import { t, word } from "../words.js";
import { placeOnPlan, whereabouts } from "./plan.js";
import { canScan, scan } from "./scanning.js";

const NEW = "new";

/**
 * @param {{ aboard: import("../aboard.js").Aboard, component: number | null, form: import("../entry_sheets.js").FindingForm }} subject
 * @param {() => void} changed
 */
export function spotField({ aboard, component, form }, changed) {
  const known = aboard.spotsOf(component);
  const fresh = h("div", { class: "fresh-spot" });
  const begin = () => {
    form.spot = { id: uuid7(), fresh: true, tag: "", name: "", x: null, y: null, level: "deck" };
  };
  if (form.spot?.fresh && !form.spot.id) form.spot.id = uuid7();

  const choose = (/** @type {string} */ id) => {
    const spot = aboard.spots.get(id);
    if (spot) form.spot = { id, fresh: false, tag: spot.tag, name: spot.name, x: null, y: null, level: "" };
    else if (!form.spot?.fresh) begin();
    draw();
    changed();
  };

  function draw() {
    const spot = form.spot;
    if (!spot?.fresh) return refill(fresh);
    const told = h("p", { class: "field-told", role: "status" });
    const tag = h("input", { id: "tag", type: "text", class: "code", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", "aria-describedby": "tag-hint",
      prop: { value: spot.tag && "code" in readTag(spot.tag) ? showTag(spot.tag) : spot.tag }, on: { input: () => take(readTag(tag.value), tag.value) } });
    const take = (/** @type {import("../tag_code.js").Read | import("../tag_code.js").Slip} */ read, /** @type {string} */ typed) => {
      spot.tag = "code" in read ? read.code : read.wrong === "empty" ? "" : typed;
      const taken = "code" in read && aboard.spotOfTag(read.code);
      if (taken && taken.component === component) return choose(taken.id);
      told.textContent = taken ? t("spot.taken", { place: `${aboard.partName(taken.component)}: ${taken.name}` })
        : "code" in read ? t("spot.tag_good", { tag: showTag(read.code) }) : read.wrong === "empty" ? "" : slipWords(read);
      changed();
      return undefined;
    };
    const name = h("input", { id: "spot-name", type: "text", maxlength: 120, autocomplete: "off", prop: { value: spot.name }, on: { input: () => { spot.name = name.value; changed(); } } });
    return refill(fresh,
      h("p", { class: "field" }, h("label", { for: "tag" }, t("spot.tag")), tag, h("span", { class: "hint", id: "tag-hint" }, t("spot.tag_hint"))),
      canScan() && h("p", { class: "deeds" }, button(t("sticker.scan"), async () => {
        const read = await scan();
        if (!read) return;
        if ("code" in read) tag.value = showTag(read.code);
        take(read, tag.value);
      })),
      told,
      h("p", { class: "field" }, h("label", { for: "spot-name" }, t("spot.name")), name, h("span", { class: "hint" }, t("spot.name_hint"))),
      h("details", { prop: { open: spot.x !== null } }, h("summary", {}, t("spot.on_plan")),
        choice({ name: "level", legend: t("spot.level"), options: aboard.body.levels.map((/** @type {string[]} */ [code]) => [code, word("levels", code, aboard.body)]), chosen: spot.level, changed: (code) => { spot.level = code; changed(); } }),
        placeOnPlan({ body: aboard.body, x: spot.x, y: spot.y, changed: (x, y) => { Object.assign(spot, { x, y }); changed(); } })));
  }
  draw();
  const options = known.map((spot) => /** @type {[string, string]} */ ([spot.id, spot.tag ? `${spot.name} (${showTag(spot.tag)})` : spot.name]));
  return h("section", { class: "spot" }, h("h2", {}, t("spot.title")),
    known.length > 0 && choice({ name: "spot", legend: t("spot.which"), options: [...options, [NEW, t("spot.new")]], chosen: form.spot ? (form.spot.fresh ? NEW : form.spot.id) : "", changed: choose }),
    fresh);
}

/**
 * The spot with a name: what was typed, else where it lies on the plan, else a number.
 *
 * @param {{ aboard: import("../aboard.js").Aboard, component: number | null, form: import("../entry_sheets.js").FindingForm }} subject
 * @returns {NonNullable<import("../entry_sheets.js").FindingForm["spot"]>}
 */
export function nameOfSpot({ aboard, component, form }) {
  const spot = /** @type {NonNullable<typeof form.spot>} */ (form.spot);
  if (!spot.fresh || spot.name.trim()) return spot;
  const name = spot.x !== null && spot.y !== null ? whereabouts(spot.x, spot.y) : t("spot.numbered", { n: aboard.spotsOf(component).length + 1 });
  return { ...spot, name };
}
