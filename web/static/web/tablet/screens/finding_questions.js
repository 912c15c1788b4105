// What is asked about a finding: what the first reading hangs on stands open, the rest is folded.

import { choice, h, stepper } from "../dom.js";
import { whatMatters } from "../reading.js";
import { t, word } from "../words.js";

/** Figures that a sign asks for, by the unit it is recorded in; everything else is a length. */
const COUNTED = { ml_h: "weep_ml_h", count: "count" };
/** Units of signs that are not told by a length. */
const OTHERWISE = new Set([...Object.keys(COUNTED), "pct", "points", "months"]);
/** What is asked where nothing is known of what hangs on it. */
const USUAL = new Set(["water", "seal", "moves"]);
const AXES = ["water", "seal", "moves", "path", "trend", "moisture"];

/**
 * @param {{ aboard: import("../aboard.js").Aboard, check: any, component: number | null, form: import("../entry_sheets.js").FindingForm }} subject
 * @param {() => void} changed
 */
export function questions({ aboard, check, component, form }, changed) {
  if (!form.signs.length) return [];
  const units = new Set(form.signs.map((code) => aboard.signs.get(code)?.size_unit ?? ""));
  const matters = whatMatters(aboard.body.first_reading, component, form.signs) ?? USUAL;
  const wet = units.has("pct") || units.has("points") || matters.has("moisture");
  const steps = { less: t("less"), more: t("more") };
  const figures = [
    [...units].some((unit) => !OTHERWISE.has(unit)) && stepper({ ...steps, id: "size", label: t("finding.size"), unit: "mm", value: form.size, step: 5,
      changed: (value) => { form.size = value; changed(); } }),
    ...Object.entries(COUNTED).filter(([unit]) => units.has(unit)).map(([unit, quantity]) => stepper({
      ...steps, id: quantity, label: word("quantity", quantity), unit: word("unit", unit), value: form.readings[quantity]?.value ?? "", step: unit === "count" ? 1 : 10, low: 0,
      changed: (value) => { form.readings[quantity] = { value, unit }; changed(); },
    })),
  ];
  const asked = { water: vocabulary("water"), seal: vocabulary("seal"), moves: vocabulary("moves"), path: path(), trend: vocabulary("trend"), moisture: moisture() };
  const open = AXES.filter((axis) => (axis === "moisture" ? wet : matters.has(axis)));
  const folded = AXES.filter((axis) => !open.includes(axis));
  return [
    h("div", { class: "steppers" }, figures),
    vocabulary("sides"),
    ...open.map((axis) => asked[/** @type {keyof typeof asked} */ (axis)]),
    folded.length > 0 && h("details", {}, h("summary", {}, t("finding.more_questions")), folded.map((axis) => asked[/** @type {keyof typeof asked} */ (axis)])),
  ];

  /** @param {"water" | "seal" | "moves" | "trend" | "sides"} name */
  function vocabulary(name) {
    const usual = name === "water" ? (aboard.components.get(component)?.water ?? []) : [];
    const codes = aboard.body.vocabulary[name].map((/** @type {string[]} */ [code]) => code);
    const options = [...new Set([...usual, ...codes])].map((code) => /** @type {[string, string]} */ ([code, word(name, code, aboard.body)]));
    return choice({ name, legend: t(`finding.${name}`), options: [...options, ["", t("unsaid")]], chosen: form[name], changed: (code) => {
      form[name] = code;
      changed();
    } });
  }

  function path() {
    return choice({ name: "path", legend: t("finding.path"), options: [["yes", t("yes")], ["no", t("no")], ["", t("unsaid")]], chosen: form.inLoadPath, changed: (code) => {
      form.inLoadPath = code;
      changed();
    } });
  }

  function moisture() {
    const field = (/** @type {string} */ id, /** @type {string} */ label, /** @type {string} */ unit, /** @type {"moisture" | "moistureBeside" | "woodTemperature"} */ name, /** @type {any} */ limits) =>
      stepper({ ...steps, id, label, unit, value: form[name], step: 1, places: 1, ...limits, changed: (value) => { form[name] = value; changed(); } });
    return h("fieldset", { class: "choice" }, h("legend", {}, t("finding.meter")), h("p", { class: "hint" }, t("finding.meter_hint")),
      h("div", { class: "steppers" },
        field("moisture", t("finding.moisture"), "%", "moisture", { high: 120 }),
        field("moisture-beside", t("finding.moisture_beside"), "%", "moistureBeside", { high: 120 }),
        field("wood-temperature", t("finding.wood_temperature"), "°C", "woodTemperature", { low: -40, high: 80 })));
  }
}
