// Nothing moves under a finger: what waits comes after the click.
import assert from "node:assert/strict";
import test from "node:test";

import { apart } from "../../web/static/web/tablet/apart.js";
import { Presses } from "../../web/static/web/tablet/presses.js";

function ground() {
  const place = new EventTarget();
  const waiting = [];
  const told = [];
  const presses = new Presses(place, () => told.push("lifted"), { later: (deed) => waiting.push(deed) });
  const say = (kind, more = {}) => place.dispatchEvent(Object.assign(new Event(kind), more));
  const afterwards = () => waiting.splice(0).forEach((deed) => deed());
  return { presses, told, say, afterwards };
}

for (const [down, up] of [["pointerdown", "pointerup"], ["pointerdown", "pointercancel"], ["pointerdown", "blur"]]) {
  test(`a press from ${down} to ${up} is held until the click has come`, () => {
    const { presses, told, say, afterwards } = ground();
    say(down, { button: 0 });
    assert.equal(presses.held, true);
    say(up);
    assert.deepEqual([presses.held, told], [true, []]);
    afterwards();
    assert.deepEqual([presses.held, told], [false, ["lifted"]]);
  });
}

test("a key that presses is held like a finger, one that writes is not", () => {
  const { presses, told, say, afterwards } = ground();
  say("keydown", { key: "a" });
  assert.equal(presses.held, false);
  say("keydown", { key: " " });
  say("keyup", { key: " " });
  assert.equal(presses.held, true);
  afterwards();
  assert.deepEqual(told, ["lifted"]);
  say("pointerdown", { button: 2 });
  assert.equal(presses.held, false);
});

test("what fails when the page is left is no fault; anything else is", async () => {
  const fails = () => Promise.reject(new DOMException("cut off", "AbortError"));
  assert.equal(await apart(fails(), { isLeft: () => true }), undefined);
  await assert.rejects(apart(fails(), { isLeft: () => false }), /cut off/);
  assert.equal(apart(undefined), undefined);
});
