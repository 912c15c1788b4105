import assert from "node:assert/strict";
import test from "node:test";

import { better, clockIsWrong, offsetOf, serverTime } from "../../web/static/web/tablet/clock.js";

const DAY = 86_400_000;

test("a clock that is a day behind is found out to within half the way there and back", () => {
  assert.deepEqual(offsetOf({ asked: 1000, heard: 1400, server: 1200 + DAY }), { offset: DAY, within: 200 });
});

test("whatever the delays on the way, the truth lies within what is said", () => {
  for (const out of [0, 30, 900]) {
    for (const back of [0, 30, 900]) {
      const { offset, within } = offsetOf({ asked: 0, heard: out + back, server: DAY + out });
      assert.ok(Math.abs(offset - DAY) <= within, `${out} ${back}`);
    }
  }
});

test("a closer measurement of the last minutes is kept, an old one or a contradicted one is not", () => {
  const close = { offset: 500, within: 10, at: 0 };
  const coarse = { offset: 900, within: 400, at: 60_000 };
  assert.equal(better(undefined, coarse), coarse);
  assert.equal(better(close, coarse), close);
  assert.equal(better(coarse, { ...close, at: 90_000 }).within, 10);
  const later = { ...coarse, at: 20 * 60_000 };
  assert.equal(better(close, later), later);
  const reset = { offset: DAY, within: 400, at: 60_000 };
  assert.equal(better(close, reset), reset);
  const setBack = { offset: 600, within: 400, at: -60_000 };
  assert.equal(better(close, setBack), setBack);
});

test("both times can be told, and only a clock that is really off is spoken of", () => {
  assert.equal(serverTime(1000, undefined), 1000);
  assert.equal(serverTime(1000, { offset: DAY, within: 5, at: 0 }), 1000 + DAY);
  assert.equal(clockIsWrong(undefined), false);
  assert.equal(clockIsWrong({ offset: 90_000, within: 5, at: 0 }), false);
  assert.equal(clockIsWrong({ offset: -DAY, within: 5, at: 0 }), true);
  assert.equal(clockIsWrong({ offset: 130_000, within: 60_000, at: 0 }), false);
});
