// How long to wait before the next try: twice as long each time, and never two tablets at the same moment.

export const SHORTEST = 2_000;
export const LONGEST = 5 * 60_000;

/**
 * Full jitter over a bound that doubles.
 *
 * @param {number} failures in a row, 1 or more
 * @param {number} random 0 to 1
 * @param {number} atLeast what the server asked for, in milliseconds
 */
export function waitBefore(failures, random, atLeast = 0) {
  const bound = Math.min(LONGEST, SHORTEST * 2 ** Math.min(failures - 1, 20));
  return Math.min(LONGEST, Math.max(atLeast, Math.round(bound / 4 + (random * bound * 3) / 4)));
}
