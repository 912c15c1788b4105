// The documents that go to the yard hold what was said and nothing else.
import assert from "node:assert/strict";
import { webcrypto } from "node:crypto";
import test from "node:test";

import { emptyFinding, findingSheet, notSeenSheet, soundSheet, stepSheet } from "../../web/static/web/tablet/entry_sheets.js";
import { unsentFile } from "../../web/static/web/tablet/export.js";
import { pinFits } from "../../web/static/web/tablet/pins.js";

globalThis.crypto ??= webcrypto;

test("a finding that says only what is seen is as short as can be", () => {
  const form = { ...emptyFinding(), signs: ["CRACK_WOOD"], spot: { id: "s", fresh: false, tag: "T", name: "known", x: null, y: null, level: "" } };
  assert.deepEqual(findingSheet({ check: 5, component: 2 }, form), { check: 5, answer: "finding", signs: ["CRACK_WOOD"], spot: { id: "s" } });
});

test("a finding with everything says everything, and the place once", () => {
  const form = {
    ...emptyFinding(), signs: ["MC_HIGH"], size: "40", water: "rain", seal: "open", moves: "no", sides: "one", trend: "grown", inLoadPath: "no",
    moisture: "22.5", moistureBeside: "15", woodTemperature: "8", readings: { weep_ml_h: { value: "30", unit: "ml_h" }, count: { value: "", unit: "count" } },
    note: " dark ", photos: ["a"], spot: { id: "n", fresh: true, tag: "2345678M", name: " aft ", x: 10, y: 0, level: "hull" },
  };
  assert.deepEqual(findingSheet({ component: 2, supersedes: "e" }, form), {
    component: 2, supersedes: "e", answer: "finding", signs: ["MC_HIGH"], size_mm: "40",
    readings: [
      { quantity: "moisture", value: "22.5", unit: "pct", wood_temperature_c: "8" },
      { quantity: "moisture_beside", value: "15", unit: "pct", wood_temperature_c: "8" },
      { quantity: "weep_ml_h", value: "30", unit: "ml_h" },
    ],
    water: "rain", seal: "open", moves: "no", sides: "one", trend: "grown", in_load_path: false, note: "dark", photos: ["a"],
    spot: { id: "n", tag: "2345678M", name: "aft", plan_x: 10, plan_y: 0, level: "hull" },
  });
});

test("elsewhere has no spot; sound may carry a reading; not seen says why", () => {
  const form = { ...emptyFinding(), signs: ["WEAR"], spot: null };
  assert.deepEqual(findingSheet({ elsewhere: "in the locker" }, form), { elsewhere: "in the locker", answer: "finding", signs: ["WEAR"] });
  const reading = { quantity: "moisture_pct", value: "16", unit: "pct", woodTemperature: "" };
  assert.deepEqual(soundSheet({ check: 1 }, reading), { check: 1, answer: "sound", readings: [{ quantity: "moisture_pct", value: "16", unit: "pct" }] });
  assert.deepEqual(notSeenSheet({ check: 1 }, " lining "), { check: 1, answer: "not_seen", not_seen_reason: "lining" });
  assert.deepEqual(stepSheet(4, "done"), { step: 4, outcome: "done" });
});

test("the file of everything unsent is one document, in the tablet's order, with the photos in it", async () => {
  const blob = new Blob([Uint8Array.from({ length: 70_000 }, (_, place) => place % 256)], { type: "image/jpeg" });
  const entry = (sequence, inspection, offset) => ({ sequence, inspection, offset, sheet: { id: `e${sequence}`, sequence } });
  const shelf = { kept: [entry(3, 7, null), entry(1, 7, 5)], refused: [entry(2, 8, 5)] };
  const store = { entriesThatAre: async (where) => shelf[where], photosUnsent: async () => [{ sha256: "a", blob }, { sha256: "b", blob }] };
  const device = { id: 4, device_name: "Tablet 2", yard: { id: 1 } };
  const file = await unsentFile({ store, device, boatNames: { 7: "Oda Marie" }, offset: -9, now: Date.UTC(2027, 3, 1) });
  const told = JSON.parse(file.parts.join(""));
  assert.deepEqual([told.format, told.made_at, told.yard, told.device], ["faying unsent 1", "2027-04-01T00:00:00.000Z", 1, { id: 4, device_name: "Tablet 2" }]);
  assert.deepEqual(told.inspections.map(({ inspection, boat_name, entries }) => [inspection, boat_name, entries.map(({ id, clock_offset_ms }) => [id, clock_offset_ms])]), [
    [7, "Oda Marie", [["e1", 5], ["e3", -9]]], [8, "", [["e2", 5]]],
  ]);
  assert.deepEqual(told.photos.map(({ sha256, media_type }) => [sha256, media_type]), [["a", "image/jpeg"], ["b", "image/jpeg"]]);
  assert.deepEqual(Buffer.from(told.photos[1].data, "base64"), Buffer.from(await blob.arrayBuffer()));
  assert.deepEqual([file.entries, file.photos], [3, 2]);
});

test("a PIN is held against PBKDF2-HMAC-SHA-256: the worked value of RFC 7914, section 11", async () => {
  const hash = Buffer.from("55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc", "hex").toString("base64");
  const pin = { scheme: "PBKDF2-HMAC-SHA256", iterations: 1, salt: btoa("salt"), hash };
  assert.equal(await pinFits("passwd", pin), true);
  assert.equal(await pinFits("passwe", pin), false);
});
