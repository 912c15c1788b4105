// Elements by calls, so that no text of anybody's is ever read as markup.

/** @typedef {Node | string | number | null | undefined | false} Child */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, any>} [given] attributes; `on` holds listeners, `prop` properties; false and null leave one out
 * @param {...(Child | Child[])} children
 * @returns {any}
 */
export function h(tag, given = {}, ...children) {
  return fill(document.createElement(tag), given, children);
}

/** @param {string} tag @param {Record<string, any>} [given] @param {...(Child | Child[])} children @returns {any} */
export function svg(tag, given = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), given, children);
}

/** @param {Element} element @param {Record<string, any>} given @param {(Child | Child[])[]} children */
function fill(element, { on = {}, prop = {}, ...attributes }, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const [name, deed] of Object.entries(on)) element.addEventListener(name, /** @type {any} */ (deed));
  Object.assign(element, prop);
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== false) element.append(/** @type {any} */ (child));
  }
  return element;
}

/** @param {Element} element @param {...(Child | Child[])} children */
export function refill(element, ...children) {
  element.replaceChildren();
  fill(element, {}, children);
}

/** A large button. @param {string} text @param {(event: Event) => unknown} deed @param {Record<string, any>} [given] */
export const button = (text, deed, given = {}) => h("button", { type: "button", ...given, on: { click: deed, ...given.on } }, text);

/**
 * One of several, as radio buttons that look like keys.
 *
 * @param {{ name: string, legend: string, hint?: string, options: [string, string][], chosen: string, changed: (code: string) => void }} wish
 */
export function choice({ name, legend, hint, options, chosen, changed }) {
  return h("fieldset", { class: "choice" },
    h("legend", {}, legend),
    hint && h("p", { class: "hint" }, hint),
    h("div", { class: "keys" }, options.map(([code, words]) =>
      h("label", { class: "key" },
        h("input", { type: "radio", name, value: code, prop: { checked: code === chosen }, on: { change: () => changed(code) } }),
        h("span", {}, words)))));
}

/**
 * A figure that is counted up and down or typed.
 *
 * @param {{ id: string, label: string, unit: string, value: string, step: number, low?: number, high?: number,
 *   places?: number, less: string, more: string, changed: (value: string) => void }} wish
 *   value: a plain number, or empty where nothing was measured
 */
export function stepper({ id, label, unit, value, step, low = 0, high = 100_000, places = 0, less, more, changed }) {
  const input = h("input", {
    id, type: "text", inputmode: "decimal", autocomplete: "off", class: "figure", "aria-describedby": `${id}-unit`,
    prop: { value },
    on: { input: () => changed(plainNumber(input.value)) },
  });
  const by = (/** @type {number} */ amount) => {
    const now = Number(plainNumber(input.value) || (amount > 0 ? Math.max(0, low - amount) : low));
    input.value = String(Number(Math.min(high, Math.max(low, now + amount)).toFixed(places)));
    changed(input.value);
  };
  return h("div", { class: "stepper" },
    h("label", { for: id }, label),
    h("div", { class: "stepper-row" },
      button("−", () => by(-step), { "aria-label": `${less}: ${label}` }),
      input,
      h("span", { class: "unit", id: `${id}-unit` }, unit),
      button("+", () => by(step), { "aria-label": `${more}: ${label}` })));
}

/** What somebody typed, with a comma or a point. @param {string} typed @returns {string} empty where it is no number */
export function plainNumber(typed) {
  const plain = typed.trim().replace(",", ".").replace("−", "-");
  return /^-?\d{1,7}(\.\d{1,2})?$/.test(plain) ? plain : "";
}
