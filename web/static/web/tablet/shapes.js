// The shapes of the yard's answers. What does not have them was said by somebody else.

const OUTCOMES = new Set(["stored", "already_there", "refused", "set_aside"]);

/** @typedef {{ id: string, outcome: string, why: string, errors: import("./asking.js").Objection[] }} Result */

/**
 * @param {any} body
 * @param {string[]} ids as they were sent
 * @returns {Result[] | null} one for each id, in their order; null where it is no answer to them
 */
export function resultsOf(body, ids) {
  const results = body?.results;
  if (!Array.isArray(results) || results.length !== ids.length) return null;
  const fits = results.every((result, place) => result?.id === ids[place] && OUTCOMES.has(result.outcome));
  return fits ? results : null;
}

/** @param {any} list @param {string[]} asked */
export const isDigestList = (list, asked) => Array.isArray(list) && list.every((one) => asked.includes(one));

/** @param {any} body @param {string} sha256 */
export const isPhotoOf = (body, sha256) => body?.sha256 === sha256;
