// The queue: whatever happens on the way, each entry is at the yard once, in order, and nothing is taken for sent that
// is not there.
import assert from "node:assert/strict";
import test from "node:test";

import { ask } from "../../web/static/web/tablet/asking.js";
import { bring, Courier } from "../../web/static/web/tablet/sync.js";
import { LONGEST, waitBefore } from "../../web/static/web/tablet/waiting.js";
import { problem, Shelf, Yard } from "./yard.js";

const addresses = {
  entries: (inspection) => `/inspections/${inspection}/entries/`,
  missing: "/photos/missing/",
  photo: (sha256) => `/photos/${sha256}/`,
};
const kept = (count, inspection = () => 1) =>
  Array.from({ length: count }, (_, place) => {
    const sequence = place + 1;
    return { id: `id-${sequence}`, inspection: inspection(place), sequence, sheet: { id: `id-${sequence}`, sequence } };
  });
const digests = (count) => Array.from({ length: count }, (_, place) => String(place).padStart(64, "0"));
const round = (shelf, yard, size) =>
  bring({ shelf, addresses, size, ask: (address, wish) => ask(address, { ...wish, key: "k", fetcher: yard.fetch }) });
const where = (shelf) => shelf.entries.map((entry) => entry.where);

test("everything goes over in order, in batches of one boat each", async () => {
  const shelf = new Shelf(kept(120, (place) => (place < 70 ? 1 : 2)), digests(7));
  const yard = new Yard();
  assert.deepEqual(await round(shelf, yard), { reached: true });
  assert.deepEqual(yard.arrivals, Array.from({ length: 120 }, (_, place) => place + 1));
  assert.deepEqual(new Set(where(shelf)), new Set(["yard"]));
  assert.deepEqual([...yard.photos.values()], Array(7).fill(1));
  assert.equal(yard.turn, 3 + 1 + 7); // 50, 20, 50; then the question for digests and each photo
});

for (const weather of ["network", "portal", "portalOfJson", "oddAnswer", "busy"]) {
  test(`nothing is taken for sent that met: ${weather}`, async () => {
    const shelf = new Shelf(kept(3), digests(2));
    const { stopped } = await round(shelf, new Yard(() => weather));
    assert.equal(stopped.kind, "out_of_reach");
    assert.deepEqual(where(shelf), ["kept", "kept", "kept"]);
    assert.equal((await shelf.photosWaiting()).length, 2);
  });
}

test("an answer that was lost is asked for again with the same ids, and the yard has each once", async () => {
  const shelf = new Shelf(kept(3), digests(2));
  const yard = new Yard(({ turn }) => ([1, 4].includes(turn) ? "lost" : undefined));
  assert.ok((await round(shelf, yard)).stopped);
  assert.ok((await round(shelf, yard)).stopped); // this time a photo's answer is lost
  assert.deepEqual(await round(shelf, yard), { reached: true });
  assert.deepEqual(yard.arrivals, [1, 2, 3]);
  assert.deepEqual(where(shelf), ["yard", "yard", "yard"]);
  assert.deepEqual([...yard.photos.values()], [1, 1]); // what the yard has is not sent again
});

test("any weather at all: in the end each is there once and in order", async () => {
  let seed = 7;
  const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647;
  const kinds = ["network", "portal", "portalOfJson", "oddAnswer", "busy", "lost"];
  for (let voyage = 0; voyage < 40; voyage += 1) {
    const shelf = new Shelf(kept(1 + Math.floor(random() * 130), (place) => Math.floor(place / 30)), digests(Math.floor(random() * 9)));
    const yard = new Yard(() => (random() < 0.4 ? kinds[Math.floor(random() * kinds.length)] : undefined));
    let outcome;
    do outcome = await round(shelf, yard, 1 + Math.floor(random() * 50));
    while (outcome.stopped);
    assert.deepEqual(yard.arrivals, shelf.entries.map(({ sequence }) => sequence));
    assert.ok(where(shelf).every((one) => one === "yard"));
    assert.deepEqual([...yard.photos.keys()].sort(), [...shelf.photos.keys()].sort());
  }
});

test("a refused entry holds up no other, and what was set aside says why", async () => {
  const shelf = new Shelf(kept(4));
  const yard = new Yard();
  yard.rules.refuse.add("id-2");
  yard.rules.aside.add("id-3");
  await round(shelf, yard);
  assert.deepEqual(where(shelf), ["yard", "refused", "aside", "yard"]);
  assert.equal(shelf.entries[1].errors[0].remedy, "put it right");
  assert.equal(shelf.entries[2].why, "the inspection is closed");
});

test("a batch that is too large is halved until it goes; one that can't be taken alone is put by and the rest goes on", async () => {
  const shelf = new Shelf(kept(40));
  const yard = new Yard();
  yard.rules.tooLarge = 7;
  await round(shelf, yard);
  assert.equal(yard.arrivals.length, 40);
  const broken = new Shelf(kept(3));
  const strict = new Yard();
  const take = strict.answer.bind(strict);
  strict.answer = async (address, method, body) => (body.includes("id-2") ? problem(400) : take(address, method, body));
  await round(broken, strict);
  assert.deepEqual(where(broken), ["yard", "refused", "yard"]);
});

test("what was once on its way is known to have been, so that it is not taken back here alone", async () => {
  const shelf = new Shelf(kept(2));
  await round(shelf, new Yard(() => "lost"), 1);
  assert.deepEqual(shelf.entries.map(({ tried }) => Boolean(tried)), [true, false]);
});

test("the clock's offset goes with an entry that had none, and stays as it was where it had one", async () => {
  const shelf = new Shelf(kept(2));
  shelf.entries[0].offset = -5;
  const yard = new Yard();
  await bring({ shelf, addresses, offset: 86_400_000, ask: (address, wish) => ask(address, { ...wish, fetcher: yard.fetch }) });
  assert.deepEqual([...yard.entries.values()].map((sheet) => sheet.clock_offset_ms), [-5, 86_400_000]);
});

test("a device that was signed out stops, and keeps everything", async () => {
  const shelf = new Shelf(kept(2), digests(1));
  const { stopped } = await round(shelf, new Yard(() => problem(401)));
  assert.equal(stopped.kind, "signed_out");
  assert.deepEqual(where(shelf), ["kept", "kept"]);
});

test("a photo that the yard can't read is put by with the reason, and the others go", async () => {
  const shelf = new Shelf([], digests(3));
  const bad = digests(3)[1];
  const no = problem(422, [{ field: "photo", problem: "is no picture", remedy: "send a picture" }]);
  await round(shelf, new Yard(({ address }) => (address.includes(bad) ? no : undefined)));
  assert.deepEqual([...shelf.photos.values()].map((photo) => photo.where), ["yard", "refused", "yard"]);
  assert.equal(shelf.photos.get(bad).why, "is no picture");
});

test("an answer carries the times of asking and hearing, and the contract", async () => {
  let clock = 5;
  const wish = { method: "POST", json: { digests: [] }, fits: () => true, now: () => (clock += 10), fetcher: new Yard().fetch };
  const { times, contract } = await ask("/x/missing/", wish);
  assert.deepEqual([times, contract], [{ asked: 15, heard: 25 }, 1]);
});

test("the wait doubles to a bound, is never less than a quarter of it, and obeys the server", () => {
  for (let failures = 1; failures < 40; failures += 1) {
    const bound = Math.min(LONGEST, 2000 * 2 ** (failures - 1));
    assert.equal(waitBefore(failures, 0), Math.round(bound / 4));
    assert.equal(waitBefore(failures, 1), bound);
  }
  assert.equal(waitBefore(1, 0, 60_000), 60_000);
  assert.equal(waitBefore(1, 0, 9e9), LONGEST);
});

test("the courier goes one round at a time, tries later after a failure, at once when asked, and not when signed out", async () => {
  const outcomes = [
    { reached: false, stopped: { kind: "out_of_reach", why: "network" } },
    { reached: false, stopped: { kind: "out_of_reach", why: "busy", after: 9000 } },
    { reached: true },
    { reached: false, stopped: { kind: "signed_out", detail: "" } },
  ];
  const waits = [];
  const sizes = [];
  let inside = 0;
  const courier = new Courier({
    round: async (size) => {
      assert.equal((inside += 1), 1);
      sizes.push(size);
      await null;
      inside -= 1;
      return outcomes.shift();
    },
    told: () => {},
    later: (deed, wait) => waits.push(wait) && waits.length,
    cancel: () => {},
    random: () => 1,
  });
  await Promise.all([courier.nudge(), courier.nudge()]);
  await courier.nudge(); // waits already: no second round
  assert.deepEqual([sizes, waits], [[50], [2000]]);
  await courier.go();
  assert.deepEqual(waits, [2000, 9000]);
  await courier.hurry();
  await courier.nudge();
  assert.deepEqual([sizes, waits], [[50, 25, 50, 50], [2000, 9000]]);
});

test("a store that fails the round and the telling of it stops no later try", async () => {
  const waits = [];
  const faults = [];
  const courier = new Courier({
    round: async () => { throw new Error("cut off"); },
    told: async () => { throw new Error("cut off again"); },
    later: (deed, wait) => waits.push(wait) && waits.length,
    random: () => 1,
    failed: (error) => faults.push(error.message),
  });
  await courier.nudge();
  assert.deepEqual([faults, waits, courier.running], [["cut off", "cut off again"], [2000], false]);
});
