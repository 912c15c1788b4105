import assert from "node:assert/strict";
import test from "node:test";

import { arrowPoints, changed, markInTheMiddle, markOfStroke } from "../../web/static/web/tablet/marks.js";
import { fitted } from "../../web/static/web/tablet/pictures.js";

test("a large picture is made 2,560 px long, a small one is left as it is", () => {
  assert.deepEqual(fitted(4000, 3000), { width: 2560, height: 1920 });
  assert.deepEqual(fitted(3000, 4000), { width: 1920, height: 2560 });
  assert.deepEqual(fitted(640, 480), { width: 640, height: 480 });
  assert.deepEqual(fitted(9000, 1), { width: 2560, height: 1 });
});

test("a tap puts a mark there, a stroke says how long it is and whence it comes", () => {
  const tap = markOfStroke("circle", { x: 0.2, y: 0.3 }, { x: 0.201, y: 0.3 }, 2000, 1000);
  assert.deepEqual(tap, { ...markInTheMiddle("circle"), x: 0.2, y: 0.3 });
  const arrow = markOfStroke("arrow", { x: 0.5, y: 0.5 }, { x: 0.5, y: 0.1 }, 1000, 1000);
  assert.deepEqual([arrow.x, arrow.y, arrow.turn], [0.5, 0.1, 90]); // it comes from below
  assert.ok(Math.abs(arrow.size - 0.4) < 1e-9);
  const circle = markOfStroke("circle", { x: 0.5, y: 0.5 }, { x: 0.6, y: 0.5 }, 2000, 1000);
  assert.ok(Math.abs(circle.size - 0.1) < 1e-9);
});

test("the arrow's tail lies where the stroke began, whatever the shape of the picture", () => {
  for (const [width, height] of [[2560, 1920], [1920, 2560], [300, 300]]) {
    const from = { x: 0.3, y: 0.6 };
    const [tail, tip] = arrowPoints(markOfStroke("arrow", from, { x: 0.5, y: 0.5 }, width, height), width, height);
    assert.ok(Math.hypot(tail[0] - 0.3 * width, tail[1] - 0.6 * height) < 1e-6);
    assert.deepEqual(tip, [0.5 * width, 0.5 * height]);
  }
});

test("a mark that is pushed about stays in the picture", () => {
  let mark = markInTheMiddle("arrow");
  for (let times = 0; times < 99; times += 1) mark = changed(mark, { x: 0.1, y: -0.1, size: 1.25, turn: 15 });
  assert.deepEqual([mark.x, mark.y], [1, 0]);
  assert.ok(mark.size <= 0.45 && mark.turn >= 0 && mark.turn < 360);
});
