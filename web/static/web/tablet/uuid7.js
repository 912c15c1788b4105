// Ids that the tablet makes: UUIDs of version 7 (RFC 9562, section 5.7), in the order in which they were made.

/** @param {Uint8Array<ArrayBuffer>} bytes */
const fill = (bytes) => crypto.getRandomValues(bytes);

/**
 * The layout alone: 48 bits of milliseconds, the version, 12 bits, the variant, 62 bits.
 *
 * @param {number} milliseconds since 1970, 0 to 2^48 - 1
 * @param {number} upper 12 bits behind the version
 * @param {Uint8Array} lower 8 bytes; the two highest bits give way to the variant
 */
export function uuid7Of(milliseconds, upper, lower) {
  const time = Math.floor(milliseconds).toString(16).padStart(12, "0");
  const bytes = Uint8Array.from(lower);
  bytes[0] = (bytes[0] & 0x3f) | 0x80;
  const tail = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  const version = `7${upper.toString(16).padStart(3, "0")}`;
  return [time.slice(0, 8), time.slice(8), version, tail.slice(0, 4), tail.slice(4)].join("-");
}

/**
 * A maker of ids. Those of one millisecond count up behind the version, and a clock that is set back does not bring
 * an earlier one, so that ids sort as they were made.
 *
 * @param {() => number} now milliseconds since 1970
 * @param {(bytes: Uint8Array<ArrayBuffer>) => Uint8Array} random
 */
export function uuid7Maker(now = Date.now, random = fill) {
  let last = -1;
  let count = 0;
  return () => {
    const at = now();
    const bytes = random(new Uint8Array(10));
    if (at > last) {
      last = at;
      count = ((bytes[8] << 8) | bytes[9]) & 0x7ff; // half of the count is left to count up
    } else if (++count > 0xfff) {
      last += 1;
      count = 0;
    }
    return uuid7Of(last, count, bytes.slice(0, 8));
  };
}

export const uuid7 = uuid7Maker();
