// Bringing what is kept here to the yard: in order, in batches, as often as it takes. An answer that was lost, or that
// came from somebody else, changes nothing here; the same ids go again, and the yard takes each of them once.

import { fault } from "./apart.js";
import { isDigestList, isPhotoOf, resultsOf } from "./shapes.js";
import { waitBefore } from "./waiting.js";

const MOST_ENTRIES = 50;
const MOST_DIGESTS = 200;
const PHOTOS_AT_ONCE = 3;

/** @type {Record<string, import("./store.js").Where>} */
const WHERE = { stored: "yard", already_there: "yard", set_aside: "aside", refused: "refused" };

/**
 * @typedef {Pick<import("./store.js").Store, "waiting" | "trying" | "settle" | "photosWaiting" | "photo" | "settlePhoto">} Shelf
 * @typedef {(address: string, wish: any) => Promise<import("./asking.js").Answer>} Ask
 * @typedef {{ entries: (inspection: number) => string, missing: string, photo: (sha256: string) => string }} Addresses
 * @typedef {{ reached: boolean, stopped?: import("./asking.js").Answer }} Outcome stopped: why it went no further
 */

/**
 * One round: every waiting entry, then every waiting photo, until one of them can't be brought over.
 *
 * @param {{ shelf: Shelf, ask: Ask, addresses: Addresses, size?: number, offset?: number | null, changed?: () => void }} tools
 *   size: of a batch; a server that is out of breath is given less at once. offset: of the clock as measured last, for
 *   entries that were made before anything was measured
 * @returns {Promise<Outcome>}
 */
export async function bring(tools) {
  const entries = await bringEntries(tools);
  if (entries.stopped) return entries;
  return bringPhotos(tools);
}

/** @param {Parameters<typeof bring>[0]} tools @returns {Promise<Outcome>} */
async function bringEntries({ shelf, ask, addresses, size = MOST_ENTRIES, offset = null, changed = () => {} }) {
  let most = size;
  let reached = false;
  for (;;) {
    const waiting = await shelf.waiting(most);
    if (!waiting.length) return { reached };
    const batch = waiting.slice(0, firstOfAnother(waiting));
    await shelf.trying(batch.map(({ id }) => id));
    const answer = await ask(addresses.entries(batch[0].inspection), {
      method: "POST",
      json: { entries: batch.map((entry) => ({ ...entry.sheet, clock_offset_ms: entry.offset ?? offset })) },
      fits: (/** @type {any} */ body) => resultsOf(body, batch.map(({ id }) => id)) !== null,
    });
    if (answer.kind === "ok") {
      reached = true;
      await shelf.settle(outcomesOf(answer.body, batch));
      most = size;
    } else if (answer.kind === "refused") {
      reached = true;
      // Nothing of the batch was taken. Whose fault it was comes out by sending half of it.
      if (batch.length > 1) most = Math.ceil(batch.length / 2);
      else await shelf.settle([{ id: batch[0].id, where: "refused", why: answer.detail, errors: answer.errors }]);
    } else {
      return { reached, stopped: answer };
    }
    changed();
  }
}

/** How far the queue goes on with the inspection it begins with. @param {import("./store.js").Kept[]} waiting */
function firstOfAnother(waiting) {
  const other = waiting.findIndex(({ inspection }) => inspection !== waiting[0].inspection);
  return other < 0 ? waiting.length : other;
}

/** @param {any} body @param {import("./store.js").Kept[]} batch */
function outcomesOf(body, batch) {
  const results = resultsOf(body, batch.map(({ id }) => id)) ?? [];
  return results.map(({ id, outcome, why, errors }) => ({ id, where: WHERE[outcome], why, errors }));
}

/** @param {Parameters<typeof bring>[0]} tools @returns {Promise<Outcome>} */
async function bringPhotos({ shelf, ask, addresses, changed = () => {} }) {
  const waiting = await shelf.photosWaiting();
  let reached = false;
  for (let from = 0; from < waiting.length; from += MOST_DIGESTS) {
    const digests = waiting.slice(from, from + MOST_DIGESTS);
    const answer = await ask(addresses.missing, {
      method: "POST",
      json: { digests },
      fits: (/** @type {any} */ body) => isDigestList(body?.missing, digests),
    });
    if (answer.kind !== "ok") return { reached, stopped: answer };
    reached = true;
    const missing = new Set(answer.body.missing);
    for (const sha256 of digests) if (!missing.has(sha256)) await shelf.settlePhoto(sha256, "yard");
    changed();
    const stopped = await inParallel([...missing], PHOTOS_AT_ONCE, async (sha256) => {
      const failed = await bringPhoto(sha256, { shelf, ask, addresses });
      changed();
      return failed;
    });
    if (stopped) return { reached, stopped };
  }
  return { reached };
}

/**
 * @param {string} sha256
 * @param {{ shelf: Shelf, ask: Ask, addresses: Addresses }} tools
 * @returns {Promise<import("./asking.js").Answer | undefined>} the answer that stops the others, if it does
 */
async function bringPhoto(sha256, { shelf, ask, addresses }) {
  const photo = await shelf.photo(sha256);
  if (!photo) return undefined;
  const answer = await ask(addresses.photo(sha256), {
    method: "PUT",
    blob: photo.blob,
    patience: 120_000,
    fits: (/** @type {any} */ body) => isPhotoOf(body, sha256),
  });
  if (answer.kind === "ok") await shelf.settlePhoto(sha256, "yard");
  else if (answer.kind === "refused") await shelf.settlePhoto(sha256, "refused", answer.errors[0]?.problem ?? answer.detail);
  else return answer;
  return undefined;
}

/**
 * @template Item, Result
 * @param {Item[]} items
 * @param {number} most at once
 * @param {(item: Item) => Promise<Result | undefined>} deed
 * @returns {Promise<Result | undefined>} the first thing that a deed came back with; no further deed begins then
 */
async function inParallel(items, most, deed) {
  const left = [...items];
  /** @type {Result | undefined} */
  let stopped;
  const worker = async () => {
    while (left.length && stopped === undefined) {
      const result = await deed(/** @type {Item} */ (left.shift()));
      stopped ??= result;
    }
  };
  await Promise.all(Array.from({ length: Math.min(most, items.length) }, worker));
  return stopped;
}

/**
 * Rounds, one at a time: at once when something was kept or the network came back, later after a failure.
 */
export class Courier {
  /**
   * @param {{
   *   round: (size: number) => Promise<Outcome>, told: (outcome: Outcome) => void | Promise<void>,
   *   later?: (deed: () => void, wait: number) => unknown, cancel?: (timer: any) => void, random?: () => number,
   *   failed?: (error: unknown) => void,
   * }} tools
   */
  constructor({ round, told, later = setTimeout.bind(globalThis), cancel = clearTimeout.bind(globalThis), random = Math.random, failed = fault }) {
    this.round = round;
    this.told = told;
    this.later = later;
    this.cancel = cancel;
    this.random = random;
    this.failed = failed;
    this.failures = 0;
    this.running = false;
    this.again = false;
    /** @type {any} */
    this.timer = null;
  }

  /** Go now: somebody asked, or the network is there again. */
  hurry() {
    this.failures = 0;
    return this.nudge();
  }

  /** There is something to bring. While waiting after a failure this changes nothing: the next try comes anyway. */
  async nudge() {
    if (this.running) {
      this.again = true;
      return;
    }
    if (this.failures && this.timer !== null) return;
    await this.go();
  }

  async go() {
    if (this.timer !== null) this.cancel(this.timer);
    this.timer = null;
    this.running = true;
    /** @type {Outcome} */
    let outcome;
    try {
      do {
        this.again = false;
        outcome = await this.round(Math.max(1, MOST_ENTRIES >> this.failures));
        const failed = outcome.stopped?.kind === "out_of_reach";
        this.failures = failed ? this.failures + 1 : 0;
        await this.told(outcome);
      } while (this.again && !outcome.stopped);
    } catch (error) {
      this.failures += 1;
      outcome = { reached: false, stopped: { kind: "out_of_reach", why: "network" } };
      this.failed(error);
      // The store that failed the round may fail the telling too; the next try comes all the same.
      await Promise.resolve(outcome).then(this.told).catch(this.failed);
    } finally {
      this.running = false;
    }
    if (outcome.stopped?.kind !== "out_of_reach") return;
    const wait = waitBefore(this.failures, this.random(), outcome.stopped.after);
    this.timer = this.later(() => {
      this.timer = null;
      void this.go();
    }, wait);
  }
}
