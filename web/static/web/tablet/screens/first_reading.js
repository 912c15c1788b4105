// The first reading of the priority, in words, marked for what it is.

import { serverTime } from "../clock.js";
import { h } from "../dom.js";
import { firstReading } from "../reading.js";
import { t } from "../words.js";
import { shape } from "./aboard.js";

/**
 * @param {import("../tablet.js").Tablet} tablet
 * @param {{ aboard: import("../aboard.js").Aboard, check: any, component: number | null, form: import("../entry_sheets.js").FindingForm }} subject
 */
export function readingLine(tablet, { aboard, check, component, form }) {
  if (!form.signs.length) return [h("span", { class: "soft" }, t("reading.nothing"))];
  const { first_reading: table, yard } = aboard.body;
  const spot = form.spot && !form.spot.fresh ? aboard.spots.get(form.spot.id) : null;
  const found = firstReading(table, {
    component, signs: form.signs, water: form.water, seal: form.seal, moves: form.moves, trend: form.trend, sides: form.sides,
    in_load_path: form.inLoadPath === "yes" ? true : form.inLoadPath === "no" ? false : null,
    size_mm: form.size, measuredBefore: Boolean(spot ? spot.measured : check?.measured), moisture: form.moisture, moistureBeside: form.moistureBeside,
    woodTemperature: form.woodTemperature,
    day: dayIn(yard.time_zone, serverTime(Date.now(), tablet.facts.clock)),
  });
  if (!found) return [h("strong", {}, t("reading.yard_will")), h("span", { class: "soft" }, ` ${t("reading.outside")}`)];
  return [h("strong", {}, shape(found.priority), " ", spoken(found)), h("span", { class: "soft" }, ` ${t("reading.provisional")}`)];
}

/** In the reader's language where it is one of the forms we know. @param {{ priority: string, words: string, confirm: string }} found */
function spoken({ priority, words, confirm }) {
  const likely = t(`reading.likely.${priority}`);
  if (!confirm) return likely;
  const known = t(`reading.confirm.${confirm}`);
  return known.startsWith("reading.") ? words : `${likely}: ${known}`;
}

/** @param {string} zone @param {number} at @returns {string} as 2027-04-01 */
export const dayIn = (zone, at) => new Intl.DateTimeFormat("en-CA", { timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit" }).format(at);
