// Layout against the worked example of RFC 9562, appendix A.6.
import assert from "node:assert/strict";
import { webcrypto } from "node:crypto";
import test from "node:test";

globalThis.crypto ??= webcrypto;
const { uuid7Maker, uuid7Of } = await import("../../web/static/web/tablet/uuid7.js");

const zeros = (bytes) => bytes.fill(0);

test("the worked example of the standard comes out", () => {
  const lower = Uint8Array.from([0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(uuid7Of(0x017f22e279b0, 0xcc3, lower), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("version and variant stand whatever the random bits are", () => {
  const made = uuid7Maker(() => 1, (bytes) => bytes.fill(0xff))();
  assert.match(made, /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test("ids of one millisecond, and of a clock that is set back, still sort as they were made", () => {
  const times = [5000, 5000, 5000, 1200, 1200, 5001, 9000];
  const make = uuid7Maker(() => times.shift() ?? 9000, zeros);
  const made = Array.from({ length: 7 }, make);
  assert.deepEqual([...made].sort(), made);
  assert.equal(new Set(made).size, 7);
});

test("more ids than the count holds run on into the next millisecond", () => {
  const make = uuid7Maker(() => 7, zeros);
  const made = Array.from({ length: 5000 }, make);
  assert.equal(new Set(made).size, 5000);
  assert.deepEqual([...made].sort(), made);
});
