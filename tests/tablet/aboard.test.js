// What shows for a boat: the yard's answers, and over them what was said on this tablet.
import assert from "node:assert/strict";
import test from "node:test";

import { Aboard } from "../../web/static/web/tablet/aboard.js";

const at = (minute) => Date.UTC(2027, 3, 1, 8, minute);
const body = () => ({
  inspection: { id: 7 },
  boat: { name: "Oda Marie" },
  components: [{ id: 1, name: "Frames", position: "port side" }, { id: 2, name: "Mast step", position: "" }],
  spots: [{ id: "s1", component: 1, name: "frame 12", tag: "2345678M", findings: [] }],
  steps: [
    { id: 10, component: 1, text: "Ceiling up", same: [10, 11], checks: [100], said: null },
    { id: 11, component: 2, text: "Ceiling up", same: [10, 11], checks: [101], said: null },
    { id: 12, component: 2, text: "Sole up", same: [12], checks: [101], said: null },
  ],
  checks: [
    { id: 100, component: 1, prompt: "Any frame broken?", after: [10], earlier: [] },
    { id: 101, component: 2, prompt: "Is the step whole?", after: [11, 12], earlier: ["f"] },
    { id: 102, component: 2, prompt: "Is it dry?", after: [], earlier: [] },
  ],
  earlier: [{ id: "f" }],
  entries: [{ id: "y1", check: 100, answer: "sound", signs: [], observed_at: "2027-04-01T08:00:00Z", author: { name: "Ane" } }],
  signs: [],
});
const kept = (id, sheet, { minute = 10, where = "kept" } = {}) => ({ id, where, madeAt: at(minute), offset: 0, authorName: "Jens", sheet: { id, ...sheet } });

test("the yard's answers count, and the round leads to the next open check and round again", () => {
  const aboard = new Aboard(body(), []);
  assert.deepEqual(aboard.progress(), { total: 3, left: 2, done: 1 });
  assert.deepEqual([aboard.next().id, aboard.next(101).id, aboard.next(102).id], [101, 102, 101]);
});

test("what was said here shows at once; the newer answer shows, and a correction takes the place of the earlier one", () => {
  const correction = kept("k1", { check: 100, answer: "finding", signs: ["X"], supersedes: "y1" });
  const aboard = new Aboard(body(), [correction]);
  assert.deepEqual(aboard.answers.get(100).map(({ id }) => id), ["k1"]);
  const other = new Aboard(body(), [kept("k2", { check: 100, answer: "not_seen" })]); // from before the yard's was known here
  assert.deepEqual(other.answers.get(100).map(({ id }) => id), ["y1", "k2"]);
  assert.equal(other.answerTo(100).answer, "not_seen");
});

test("what was taken back is gone, what the yard refused shows and leaves the check open", () => {
  assert.equal(new Aboard(body(), [kept("k", { check: 101, answer: "sound" }, { where: "undone" })]).answerTo(101), undefined);
  const refused = new Aboard(body(), [kept("k", { check: 101, answer: "sound" }, { where: "refused" })]);
  assert.equal(refused.answerTo(101).where, "refused");
  assert.equal(refused.answered(101), false);
});

test("one deed stands for all steps that share it, and each stands once in the list", () => {
  const aboard = new Aboard(body(), [kept("d", { step: 10, outcome: "done" })]);
  assert.deepEqual(aboard.openings().map(({ id }) => id), [10, 12]);
  assert.equal(aboard.deeds.get(11).outcome, "done");
  assert.deepEqual(aboard.behind(aboard.body.steps[0]), [100, 101]);
  assert.deepEqual(aboard.stepsBefore(aboard.checks.get(101)).map(({ id }) => id), [11, 12]);
});

test("what was not seen because it was closed comes back when it has been opened", () => {
  const hidden = kept("n", { check: 101, answer: "not_seen", not_seen_reason: "closed" }, { minute: 10 });
  const half = [hidden, kept("d1", { step: 10, outcome: "done" }, { minute: 20 })];
  assert.equal(new Aboard(body(), half).answered(101), true);
  const open = [...half, kept("d2", { step: 12, outcome: "done" }, { minute: 30 })];
  assert.equal(new Aboard(body(), open).answered(101), false);
  assert.equal(new Aboard(body(), [...open, kept("n2", { check: 101, answer: "not_seen" }, { minute: 40 })]).answered(101), true);
});

test("a deed that another tablet did later holds against an older one of this tablet", () => {
  const newer = body();
  newer.steps[2].said = { id: "x", outcome: "done", reason: "", author: { name: "Ane" }, observed_at: "2027-04-01T09:00:00Z" };
  assert.equal(new Aboard(newer, [kept("d", { step: 12, outcome: "not_possible", reason: "stuck" })]).deeds.get(12).outcome, "done");
});

test("a spot made here is known here, with its part, and found by its sticker", () => {
  const spot = { id: "new", name: "aft", tag: "5555555J" };
  const aboard = new Aboard(body(), [kept("k", { check: 101, answer: "finding", signs: ["X"], spot })]);
  assert.equal(aboard.spotOfTag("5555555J").component, 2);
  assert.deepEqual(aboard.spotsOf(2).map(({ id }) => id), ["new"]);
  assert.equal(aboard.spotOfTag("2345678M").id, "s1");
});

test("a class whose template was published anew is named; one that is asked by the newest is not", () => {
  const newer = body();
  newer.components = [{ id: 1, component_class: "FRAME", class_name: "frame" }, { id: 2, component_class: "STEP", class_name: "mast step" }];
  newer.templates = [{ component_class: "FRAME", number: 3, newest: 4 }, { component_class: "STEP", number: 2, newest: 2 }];
  assert.deepEqual(new Aboard(newer, []).newerTemplates(), ["frame"]);
  assert.deepEqual(new Aboard(body(), []).newerTemplates(), []); // fetched from a yard that did not say
});
