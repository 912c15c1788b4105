// The look-up of the first reading, over a small table made for it. Table and yard are held together by a test in
// Python that asks both.
import assert from "node:assert/strict";
import test from "node:test";

import { firstReading } from "../../web/static/web/tablet/reading.js";

const value = (char, priority, rank, left = false) => ({
  char, priority, rank, left, condition: "x", words: { "": `likely ${priority}`, one: `likely ${priority}: confirm from the other side`, both: `likely ${priority}` },
});
// water: two answers, seal: three. Sheet 0 is aab|c d (two blocks of three).
const table = {
  rules: "2", from: "2027-04-01", until: "2027-04-07",
  axes: [["water", ["", "rain"]], ["seal", ["", "open", "intact"]], ["moves", ["", "yes"]], ["path", ["", "yes", "no"]], ["trend", ["", "grown"]], ["moisture", ["", "dry"]]],
  same: { water: { unknown: "" }, trend: { new: "" } },
  planes: [["water", "seal"], ["water", "moves"]],
  components: { 1: { CRACK: [0, 1], FILM: [2, 2] }, elsewhere: { CRACK: [1, 1] } },
  sheets: [[0, 1], [2, 2], [3, 3]],
  blocks: ["aab", "c d", "bbb", "www"],
  block_length: 3,
  values: [value("a", "watch", 3), value("b", "next_layup", 2), value("c", "this_season", 1), value("d", "before_launch", 0), value("w", "watch", 3, true)],
  alone: ["SALT"],
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

test("the words say what would make it sure", () => {
  assert.deepEqual(firstReading(table, said({ sides: "one" })), { priority: "watch", words: "likely watch: confirm from the other side", confirm: "confirm_from_the_other_side" });
  assert.equal(firstReading(table, said({ sides: "both" })).confirm, "");
});
