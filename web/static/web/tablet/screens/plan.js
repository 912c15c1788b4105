// The boat's plan, bow to the right, port on top, as the report draws it; and a place chosen on it by finger or by keys.

import { button, h, refill, svg } from "../dom.js";
import { t } from "../words.js";

const STEP = 25;

/** @param {any} plan @param {number} x thousandths from the stem @param {number} y thousandths from port */
export const onPaper = (plan, x, y) => ({
  x: plan.forward - (x / 1000) * (plan.forward - plan.aft),
  y: plan.centre + (y / 1000 - 0.5) * 2 * plan.half,
});

/** @param {any} plan @param {number} x of the drawing @param {number} y @returns {{ x: number, y: number }} thousandths, held to the boat */
export const onBoat = (plan, x, y) => ({
  x: held((1000 * (plan.forward - x)) / (plan.forward - plan.aft)),
  y: held(1000 * ((y - plan.centre) / (2 * plan.half) + 0.5)),
});

const held = (/** @type {number} */ value) => Math.min(1000, Math.max(0, Math.round(value)));

/**
 * Where a place is, in words: forward, midships or aft; port, centre line or starboard.
 *
 * @param {number} x @param {number} y
 */
export function whereabouts(x, y) {
  const along = x < 333 ? "where.forward" : x <= 667 ? "where.midships" : "where.aft";
  const across = y < 430 ? "where.port" : y <= 570 ? "where.centre" : "where.starboard";
  return `${t(along)}, ${t(across)}`;
}

/** @param {any} body @param {{ x: number, y: number, label: string }[]} pins @param {string} label */
export function planOf(body, pins, label) {
  const { plan } = body;
  const width = plan.width;
  const drawing = svg("svg", { class: "plan", viewBox: `0 0 ${width} ${plan.height}`, role: "img", "aria-label": label },
    svg("path", { class: "hull", d: plan.outline, "stroke-width": width / 400 }),
    plan.stations.map((/** @type {any} */ station) => svg("path", { class: "fine", d: `M${station.x},${station.top}V${station.bottom}`, "stroke-width": width / 1200 })),
    svg("path", { class: "inner", d: plan.inner, "stroke-width": width / 1000 }),
    svg("path", { class: "inner", d: `M${plan.aft},${plan.centre}H${plan.forward}`, "stroke-width": width / 1100, "stroke-dasharray": "4 1 0.8 1" }),
    svg("text", { x: plan.forward, y: plan.centre - plan.half * 0.8, "text-anchor": "end", "font-size": width / 45 }, t("where.port")),
    svg("text", { x: plan.forward, y: plan.centre + plan.half * 0.95, "text-anchor": "end", "font-size": width / 45 }, t("where.starboard")));
  for (const pin of pins) {
    const at = onPaper(plan, pin.x, pin.y);
    drawing.append(svg("g", { transform: `translate(${at.x} ${at.y})` },
      svg("circle", { class: "pin", r: width / 45, "stroke-width": width / 350 }),
      svg("text", { class: "pin-number", "text-anchor": "middle", y: width / 110, "font-size": width / 36 }, pin.label)));
  }
  return drawing;
}

/**
 * Choose a place: a tap on the plan, or keys that move the mark.
 *
 * @param {{ body: any, x: number | null, y: number | null, changed: (x: number | null, y: number | null) => void }} wish
 */
export function placeOnPlan({ body, x, y, changed }) {
  const drawing = h("div", { class: "plan-tap" });
  const told = h("p", { class: "soft", "aria-live": "polite" });
  let at = { x, y };
  const put = (/** @type {number | null} */ left, /** @type {number | null} */ top) => {
    at = { x: left, y: top };
    draw();
    changed(left, top);
  };
  const move = (/** @type {number} */ right, /** @type {number} */ down) => () => put(held((at.x ?? 500) + right), held((at.y ?? 500) + down));
  function draw() {
    const { x: left, y: top } = at;
    const placed = left !== null && top !== null;
    const plan = planOf(body, placed ? [{ x: left, y: top, label: "" }] : [], t("plan.choose"));
    plan.addEventListener("click", (/** @type {MouseEvent} */ event) => {
      const inside = new DOMPoint(event.clientX, event.clientY).matrixTransform(plan.getScreenCTM().inverse());
      const place = onBoat(body.plan, inside.x, inside.y);
      put(place.x, place.y);
    });
    refill(drawing, plan);
    told.textContent = placed ? whereabouts(left, top) : t("plan.not_placed");
  }
  draw();
  return h("div", { class: "placing" }, drawing, told,
    h("div", { class: "keys", role: "group", "aria-label": t("plan.keys") },
      button(t("plan.to_bow"), move(-STEP, 0)), button(t("plan.to_stern"), move(STEP, 0)),
      button(t("plan.to_port"), move(0, -STEP)), button(t("plan.to_starboard"), move(0, STEP)),
      button(t("plan.clear"), () => put(null, null))));
}
