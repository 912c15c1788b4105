// Codes on the stickers: eight characters, the last of which checks the others. The same method as the yard's own
// (pure system of ISO/IEC 7064, modulus 23, radix 2), so that a slip is caught where it is made.

export const ALPHABET = "23456789CDFHJKMNPRTVWXY";
export const TAG_LENGTH = 8;

// What a character outside the alphabet probably was. It is only suggested: a guess must not find the wrong spot.
const LOOKS_LIKE = new Map(Object.entries({
  0: "D", O: "D", Q: "D", Z: "2", S: "5", G: "6", B: "8", U: "V", A: "4", E: "F",
}));
const LEFT_OUT = /[ \t\r\n\u00a0\u2007\u202f\-\u00ad\u2010-\u2014\u2212]/g;

/**
 * @typedef {{ code: string }} Read a tag in its stored form
 * @typedef {{ wrong: "empty" | "character" | "length" | "sum" | "camera", character?: string, perhaps?: string, count?: number }} Slip
 */

/**
 * @param {number[]} values
 * @param {number} modulus
 * @param {number} radix
 */
export function weightedSum(values, modulus, radix) {
  return values.reduce((total, value) => (total * radix + value) % modulus, 0);
}

/**
 * Read a tag as somebody typed it: capitals or not, blanks and dashes left out.
 *
 * @param {string} typed
 * @returns {Read | Slip}
 */
export function readTag(typed) {
  const plain = typed.replace(LEFT_OUT, "").toUpperCase();
  if (!plain) return { wrong: "empty" };
  for (const character of plain) {
    if (!ALPHABET.includes(character)) {
      return { wrong: "character", character, perhaps: LOOKS_LIKE.get(character) };
    }
  }
  if (plain.length !== TAG_LENGTH) return { wrong: "length", count: plain.length };
  const values = Array.from(plain, (character) => ALPHABET.indexOf(character));
  return weightedSum(values, ALPHABET.length, 2) === 1 ? { code: plain } : { wrong: "sum" };
}

/**
 * The tag in what a sticker's QR code says: an address of the yard's that ends in /t/<code>/, or the code alone.
 *
 * @param {string} scanned
 */
export function readScan(scanned) {
  const address = /\/t\/([^/]+)\/?$/.exec(scanned.trim());
  return readTag(address ? decodeURIComponent(address[1]) : scanned);
}

/** @param {string} code */
export const showTag = (code) => `${code.slice(0, 4)}-${code.slice(4)}`;
