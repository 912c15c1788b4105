// The yard's addresses, and asking them as this device.

import { ask } from "./asking.js";

export const CONTRACT = 1;
const BASE = "/api/v1/";

export const addresses = {
  heartbeat: `${BASE}tablet/`,
  byCode: `${BASE}devices/by-code/`,
  devices: `${BASE}devices/`,
  device: (/** @type {number} */ id) => `${BASE}devices/${id}/`,
  me: `${BASE}me/`,
  members: `${BASE}tablet/members/`,
  pin: (/** @type {number} */ member) => `${BASE}members/${member}/pin/`,
  open: `${BASE}inspections/?open=true`,
  package: (/** @type {number} */ id) => `${BASE}inspections/${id}/package/`,
  entries: (/** @type {number} */ id) => `${BASE}inspections/${id}/entries/`,
  close: (/** @type {number} */ id) => `${BASE}inspections/${id}/close/`,
  missing: `${BASE}photos/missing/`,
  photo: (/** @type {string} */ sha256) => `${BASE}photos/${sha256}/`,
};

/** @param {any} body */
const isHeartbeat = (body) => typeof body.contract === "number" && !Number.isNaN(Date.parse(body.server_time));

/** Is the yard there, what is its time, which edition of this page does it have? */
export const heartbeat = () => ask(addresses.heartbeat, { fits: isHeartbeat, patience: 10_000 });

/** @param {any} body */
export const isSignedIn = (body) => typeof body.key === "string" && typeof body.id === "number" && Boolean(body.member);

/** @param {any} body */
export const isMe = (body) => Boolean(body.member && body.yard);

/** @param {any} body */
export const isMembers = (body) => Array.isArray(body.members);

/** @param {any} body */
export const isPage = (body) => Array.isArray(body.results);

/** @param {any} body */
export const isPackage = (body) => Boolean(body.inspection && Array.isArray(body.checks) && Array.isArray(body.entries));

/**
 * A picture of an earlier year, as large as there is one.
 *
 * @param {string} sha256
 * @param {string} key
 * @returns {Promise<Blob | null>}
 */
export async function fetchPicture(sha256, key) {
  for (const size of ["report", "thumbnail", "original"]) {
    const answer = await fetch(`${addresses.photo(sha256)}content/?size=${size}`, {
      headers: { Authorization: `Bearer ${key}` }, credentials: "omit", redirect: "error", signal: AbortSignal.timeout(30_000),
    });
    if (answer.ok && answer.headers.get("content-type")?.startsWith("image/")) return answer.blob();
    if (answer.status !== 404) return null;
  }
  return null;
}
