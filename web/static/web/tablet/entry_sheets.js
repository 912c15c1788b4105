// What a technician said, as the documents that the yard takes. What was not said is left out.

/**
 * @typedef {{
 *   check?: number | null, component?: number | null, elsewhere?: string, supersedes?: string | null,
 * }} Place
 * @typedef {{
 *   signs: string[], size: string, water: string, seal: string, moves: string, sides: string, trend: string,
 *   inLoadPath: string, moisture: string, moistureBeside: string, woodTemperature: string,
 *   readings: Record<string, { value: string, unit: string }>, note: string, photos: string[],
 *   spot: { id: string, fresh: boolean, tag: string, name: string, x: number | null, y: number | null, level: string } | null,
 * }} FindingForm
 */

/** @returns {FindingForm} */
export const emptyFinding = () => ({
  signs: [], size: "", water: "", seal: "", moves: "", sides: "", trend: "", inLoadPath: "", moisture: "",
  moistureBeside: "", woodTemperature: "", readings: {}, note: "", photos: [], spot: null,
});

/** @param {Record<string, any>} sheet without what was left empty */
export function said(sheet) {
  const empty = (/** @type {any} */ value) =>
    value === undefined || value === null || value === "" || (Array.isArray(value) && !value.length);
  return Object.fromEntries(Object.entries(sheet).filter(([, value]) => !empty(value)));
}

/** @param {Place} place */
const placed = ({ check, component, elsewhere, supersedes }) =>
  (check ? { check, supersedes } : component ? { component, supersedes } : { elsewhere, supersedes });

/** @param {Place} place @param {FindingForm} form */
export function findingSheet(place, form) {
  return said({
    ...placed(place),
    answer: "finding",
    signs: form.signs,
    size_mm: form.size,
    readings: readingsOf(form),
    water: form.water,
    seal: form.seal,
    moves: form.moves,
    sides: form.sides,
    trend: form.trend,
    in_load_path: form.inLoadPath === "yes" ? true : form.inLoadPath === "no" ? false : null,
    note: form.note.trim(),
    photos: form.photos,
    spot: place.elsewhere ? null : spotSheet(form.spot),
  });
}

/** @param {FindingForm["spot"]} spot */
function spotSheet(spot) {
  if (!spot) return null;
  if (!spot.fresh) return { id: spot.id };
  return said({ id: spot.id, tag: spot.tag, name: spot.name.trim(), plan_x: spot.x, plan_y: spot.y, level: spot.x === null ? "" : spot.level });
}

/** @param {FindingForm} form */
function readingsOf(form) {
  const warm = form.woodTemperature;
  const readings = Object.entries(form.readings).map(([quantity, { value, unit }]) => ({ quantity, value, unit }));
  readings.unshift(
    { quantity: "moisture", value: form.moisture, unit: "pct" },
    { quantity: "moisture_beside", value: form.moistureBeside, unit: "pct" },
  );
  return readings.filter(({ value }) => value !== "")
    .map((reading) => said({ ...reading, wood_temperature_c: reading.unit === "pct" ? warm : "" }));
}

/** @param {Place} place @param {{ quantity: string, value: string, unit: string, woodTemperature?: string } | null} [reading] */
export const soundSheet = (place, reading) => said({
  ...placed(place),
  answer: "sound",
  readings: reading && [said({
    quantity: reading.quantity, value: reading.value, unit: reading.unit, wood_temperature_c: reading.woodTemperature,
  })],
});

/** @param {Place} place @param {string} reason */
export const notSeenSheet = (place, reason) => said({ ...placed(place), answer: "not_seen", not_seen_reason: reason.trim() });

/** @param {Place} place */
export const notFittedSheet = (place) => said({ ...placed(place), answer: "not_fitted" });

/** @param {number} step @param {"done" | "not_possible"} outcome @param {string} [reason] */
export const stepSheet = (step, outcome, reason = "") => said({ step, outcome, reason: reason.trim() });
