// The look-up of the first reading, over a small table made for it. Table and yard are held together by a test in
// Python that asks both.
import assert from "node:assert/strict";
import test from "node:test";

import { firstReading, moistureBucket, whatMatters } from "../../web/static/web/tablet/reading.js";

const value = (priority, rank, left = false) => ({
  priority, rank, left, words: { "": `likely ${priority}`, one: `likely ${priority}: confirm from the other side`, both: `likely ${priority}` },
});
const table = {
  rules: "2", from: "2027-04-01", until: "2027-04-07",
  same: { water: { unknown: "" }, trend: { new: "" } },
  components: { 1: 0, elsewhere: 1 },
  groups: [
    {
      planes: [[["water", ["", "rain"]], ["seal", ["", "open", "intact"]]], [["water", ["", "rain"]], ["moves", ["", "yes"]]], [["moisture", ["", "dry", "wet"]]]],
      signs: { CRACK: [0, 1, 2], FILM: [3, 5, null] },
      meter: { 4: { "": [15, 20], 8: [14, null], 9: [14, 18] } },
    },
    { planes: [[["water", ["", "rain"]]]], signs: { CRACK: [4] }, meter: {} },
  ],
  sheets: ["aabc d", "bbbb", "aac", "wwwwww", "bd", "wwww"],
  values: { a: value("watch", 3), b: value("next_layup", 2), c: value("this_season", 1), d: value("before_launch", 0), w: value("watch", 3, true) },
  alone: ["SALT"],
  beside: { wet_pct: 20, soaking_pct: 28, contrast_points: 4, same_points: 2 },
};
const said = (more = {}) => ({ component: 1, signs: ["CRACK"], day: "2027-04-02", ...more });
const priority = (more) => firstReading(table, said(more))?.priority;

test("each answer leads to its place in the sheet, the first axis weighing most", () => {
  assert.equal(priority({}), "watch");
  assert.equal(priority({ seal: "intact" }), "next_layup");
  assert.equal(priority({ water: "rain" }), "this_season");
  assert.equal(priority({ water: "rain", seal: "intact" }), "before_launch");
  assert.equal(priority({ component: null }), "next_layup");
});

test("an answer that counts as another is taken for it, and another plane answers where the first can't", () => {
  assert.equal(priority({ water: "unknown", trend: "new" }), "watch");
  assert.equal(priority({ moves: "yes" }), "next_layup");
});

test("outside the table there is no reading: the yard will judge", () => {
  const outside = [
    { water: "rain", seal: "open" }, { seal: "open", moves: "yes" }, { trend: "grown" }, { water: "splash" }, { signs: [] }, { signs: ["NEW"] },
    { component: 2 }, { signs: ["CRACK", "NEW"] }, { load: "cyclic" }, { size_mm: "40", measuredBefore: true }, { day: "2027-03-31" }, { day: "2027-04-08" },
    { signs: ["CRACK", "SALT"] },
  ];
  for (const more of outside) assert.equal(firstReading(table, said(more)), null, JSON.stringify(more));
  assert.equal(firstReading(null, said()), null);
  assert.equal(priority({ size_mm: "40" }), "watch");
});

test("of several signs the gravest decides; one that may be left counts only among its like", () => {
  assert.equal(priority({ signs: ["CRACK", "FILM"], seal: "intact" }), "next_layup");
  assert.equal(priority({ signs: ["FILM"] }), "watch");
});

test("the meter's figure is told by the month and the wood's temperature, or by the wood beside it", () => {
  const bucket = (moisture, moistureBeside = "", woodTemperature = "", day = "2027-04-02") =>
    moistureBucket(table.beside, table.groups[0].meter, { component: 1, signs: [], moisture, moistureBeside, woodTemperature, day });
  assert.deepEqual(["", "14.9", "15", "20", "28"].map((figure) => bucket(figure)), ["", "dry", "damp", "wet", "soaking"]);
  assert.deepEqual([["18", "14"], ["20", "16"], ["28", "20"], ["16", "14"], ["29", "28"], ["17", "14"], ["30", "27"]].map(([here, beside]) => bucket(here, beside)),
    ["wetter", "wet_wetter", "soaking_wetter", "same", "soaking_same", "between", null]);
  assert.deepEqual([bucket("19", "", "8"), bucket("19", "", "9"), bucket("19", "", "8.5"), bucket("15", "", "8.5"), bucket("13", "", "30")], ["damp", "wet", null, "damp", null]);
  assert.equal(bucket("13", "", "", "2027-05-02"), null);
  assert.equal(priority({ moisture: "21" }), "this_season");
  assert.equal(priority({ moisture: "16" }), undefined); // damp is not in the list
  assert.equal(priority({ moisture: "21", seal: "open" }), undefined); // no plane holds both
});

test("only the questions on which something hangs are asked openly", () => {
  assert.deepEqual([...whatMatters(table, 1, ["CRACK"])].sort(), ["moisture", "seal", "water"]);
  assert.deepEqual([...whatMatters(table, 1, ["FILM"])], []);
  assert.deepEqual([...whatMatters(table, null, ["CRACK"])], ["water"]);
  assert.equal(whatMatters(table, 1, ["NEW"]), null);
  assert.equal(whatMatters(null, 1, ["CRACK"]), null);
});

test("the words say what would make it sure", () => {
  assert.deepEqual(firstReading(table, said({ sides: "one" })), { priority: "watch", words: "likely watch: confirm from the other side", confirm: "confirm_from_the_other_side" });
  assert.equal(firstReading(table, said({ sides: "both" })).confirm, "");
});
