// A PIN keeps colleagues' names apart. It is no secret against a thief: the device's key is, and the office can take
// that back.

/** @typedef {{ scheme: string, iterations: number, salt: string, hash: string }} Pin */

/** @param {string} text */
const bytes = (text) => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));

/** @param {string} typed digits @param {Pin} pin @returns {Promise<boolean>} */
export async function pinFits(typed, { iterations, salt, hash }) {
  const key = await crypto.subtle.importKey("raw", new TextEncoder().encode(typed), "PBKDF2", false, ["deriveBits"]);
  const made = new Uint8Array(await crypto.subtle.deriveBits({ name: "PBKDF2", hash: "SHA-256", salt: bytes(salt), iterations }, key, 256));
  const wanted = bytes(hash);
  return made.length === wanted.length && made.every((byte, place) => byte === wanted[place]);
}
