// What the tablet's clock is worth. Tablets lie in drawers for a winter and come out a day wrong; the server says its
// time with every answer, and the difference is kept beside the tablet's own time, so that both can be told.

/**
 * How far the server is ahead of the tablet, in milliseconds, from one request. The answer was written somewhere
 * between asking and hearing, so that half the way there and back is how far this can be wrong.
 *
 * @param {{ asked: number, heard: number, server: number }} times each in milliseconds since 1970
 */
export function offsetOf({ asked, heard, server }) {
  return { offset: Math.round(server - (asked + heard) / 2), within: Math.max(0, Math.round((heard - asked) / 2)) };
}

/**
 * @typedef {{ offset: number, within: number, at: number }} Measured at: by the tablet's clock
 */

const GOOD_FOR = 10 * 60_000;

/**
 * Which of two measurements to go by: the newer one, unless the older is recent, closer, and the two agree. Where they
 * do not agree somebody has set the clock in between.
 *
 * @param {Measured | undefined} before
 * @param {Measured} now
 * @returns {Measured}
 */
export function better(before, now) {
  if (!before) return now;
  const agree = Math.abs(before.offset - now.offset) <= before.within + now.within + 1000;
  const recent = now.at >= before.at && now.at - before.at < GOOD_FOR;
  return agree && recent && before.within < now.within ? before : now;
}

/**
 * The server's time now, as well as the tablet knows it; the tablet's own where nothing was measured.
 *
 * @param {number} own
 * @param {Measured | undefined} measured
 */
export const serverTime = (own, measured) => own + (measured ? measured.offset : 0);

const WORTH_SAYING = 2 * 60_000;

/** Whether the tablet's clock is so far off that somebody should be told. @param {Measured | undefined} measured */
export const clockIsWrong = (measured) => Boolean(measured && Math.abs(measured.offset) > WORTH_SAYING + measured.within);
