// What is seen: the signs usual for this part first, each with its word and, for the common ones, a small drawing.

import { h, refill } from "../dom.js";
import { t } from "../words.js";
import { signPicture } from "./sign_pictures.js";

/** What speaks only of a place out of sight is no sign: not seen is an answer of its own. @param {any} sign */
const isSeen = (sign) => sign && sign.conditions.some((/** @type {string} */ condition) => condition !== "unseen");

/**
 * @param {{ aboard: import("../aboard.js").Aboard, check: any, component: number | null, form: import("../entry_sheets.js").FindingForm }} subject
 * @param {() => void} changed
 */
export function signKeys({ aboard, check, component, form }, changed) {
  const part = component === null ? null : aboard.components.get(component);
  const every = (part?.signs ?? aboard.body.signs.map((/** @type {any} */ { code }) => code)).filter((/** @type {string} */ code) => isSeen(aboard.signs.get(code)));
  const first = [...new Set([...(check?.usual_signs ?? []), ...every.slice(0, part?.usual ?? 8), ...form.signs])].filter((code) => every.includes(code));
  const rest = every.filter((/** @type {string} */ code) => !first.includes(code));
  const hints = h("div", { class: "sign-hints", "aria-live": "polite" });

  function tellHints() {
    refill(hints, form.signs.map((code) => {
      const sign = aboard.signs.get(code);
      return h("p", { class: "hint" }, h("strong", {}, `${sign.name}. `), sign.confirm_by);
    }));
  }
  /** @param {string} code */
  const key = (code) => h("label", { class: "key sign" },
    h("input", { type: "checkbox", name: "sign", value: code, prop: { checked: form.signs.includes(code) }, on: { change: (/** @type {any} */ event) => {
      form.signs = event.target.checked ? [...form.signs, code] : form.signs.filter((other) => other !== code);
      tellHints();
      changed();
    } } }),
    h("span", {}, signPicture(code), h("span", {}, aboard.signs.get(code).name)));
  tellHints();
  return h("fieldset", { class: "signs" }, h("legend", {}, t("finding.signs")),
    h("div", { class: "sign-grid" }, first.map(key)),
    rest.length > 0 && h("details", {}, h("summary", {}, t("finding.more_signs", { n: rest.length })), h("div", { class: "sign-grid" }, rest.map(key))),
    hints);
}
