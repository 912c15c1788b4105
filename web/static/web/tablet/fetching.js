// Fetching what a day on board needs, while there is a network.

import { addresses, fetchPicture, isMe, isMembers, isPackage, isPage } from "./yard.js";

const AT_ONCE = 4;
const MOST_PAGES = 20;

/** @typedef {import("./tablet.js").Tablet} Tablet */

/** The boats to inspect, the names on this tablet. @param {Tablet} tablet @returns {Promise<import("./asking.js").Answer | null>} what went wrong */
export async function fetchToday(tablet) {
  const results = [];
  let address = addresses.open;
  for (let page = 0; address && page < MOST_PAGES; page += 1) {
    const answer = await tablet.ask(address, { fits: isPage });
    if (answer.kind !== "ok") return answer;
    results.push(...answer.body.results);
    const next = answer.body.next ? new URL(answer.body.next, location.origin) : null;
    address = next ? next.pathname + next.search : "";
  }
  await tablet.know("today", { at: Date.now(), results });
  return fetchMembers(tablet);
}

/** @param {Tablet} tablet @returns {Promise<import("./asking.js").Answer | null>} */
export async function fetchMembers(tablet) {
  const answer = await tablet.ask(addresses.members, { fits: isMembers });
  if (answer.kind !== "ok") return answer;
  await tablet.know("members", answer.body.members);
  return null;
}

/** Who this device belongs to, once it is signed in. @param {Tablet} tablet @param {any} signed */
export async function fetchMe(tablet, signed) {
  const answer = await tablet.ask(addresses.me, { fits: isMe, key: signed.key });
  return answer.kind === "ok" ? answer.body.yard : null;
}

/**
 * A boat with all that is needed aboard: her package, then the pictures of earlier years.
 *
 * @param {Tablet} tablet
 * @param {number} inspection
 * @param {(done: number, total: number) => void} [told]
 * @returns {Promise<import("./asking.js").Answer | null>} what went wrong, if anything
 */
export async function fetchBoat(tablet, inspection, told = () => {}) {
  const before = await tablet.store.package(inspection);
  const headers = before?.tag ? { "If-None-Match": before.tag } : {};
  const answer = await tablet.ask(addresses.package(inspection), { fits: isPackage, headers, patience: 60_000 });
  if (answer.kind === "ok") {
    await tablet.store.putPackage({ inspection, fetchedAt: Date.now(), tag: answer.tag, body: answer.body });
  } else if (answer.kind === "unchanged" && before) {
    await tablet.store.putPackage({ ...before, fetchedAt: Date.now() });
  } else {
    return answer;
  }
  const body = answer.kind === "ok" ? answer.body : before?.body;
  await fetchPictures(tablet, body, told);
  await tablet.changed();
  return null;
}

/** @param {Tablet} tablet @param {any} body @param {(done: number, total: number) => void} told */
async function fetchPictures(tablet, body, told) {
  const wanted = [...new Set(body.earlier.flatMap((/** @type {any} */ one) => one.photos.map((/** @type {any} */ { sha256 }) => sha256)))];
  const total = wanted.length;
  let done = 0;
  told(done, total);
  const worker = async () => {
    for (let sha256 = wanted.shift(); sha256; sha256 = wanted.shift()) {
      if (!(await tablet.store.picture(sha256))) {
        // A picture that can't be had now is no reason to stay ashore; the next fetching tries again.
        const blob = await fetchPicture(sha256, tablet.device.key).catch(() => null);
        if (blob) await tablet.store.putPicture(sha256, blob);
      }
      told((done += 1), total);
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
}
