// The page's words in the reader's language. What the yard wrote itself (checks, signs, names) stays in its own.

/** @type {Record<string, string | Record<string, string>>} */
let words = {};
let language = "en";
// English as yards write it: day before month, and a clock of 24 hours.
const REGION = { en: "en-GB", de: "de-DE" };
let plural = new Intl.PluralRules("en");

export const LANGUAGES = /** @type {const} */ ([["en", "English"], ["de", "Deutsch"]]);

/** @param {string} code @param {typeof words} read */
export function setWords(code, read) {
  language = code;
  words = read;
  plural = new Intl.PluralRules(code);
}

const region = () => REGION[/** @type {keyof typeof REGION} */ (language)] ?? language;

/** @param {string} code */
export async function loadWords(code) {
  const answer = await fetch(new URL(`./words/${code}.json`, import.meta.url));
  setWords(code, await answer.json());
}

/**
 * @param {string} key
 * @param {Record<string, string | number>} [values] `n` chooses between one and several
 */
export function t(key, values = {}) {
  const found = words[key];
  if (found === undefined) return key;
  const text = typeof found === "string" ? found : (found[plural.select(Number(values.n))] ?? found.other);
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}

/**
 * A word of a vocabulary in the reader's language, else in the yard's.
 *
 * @param {string} vocabulary
 * @param {string} code
 * @param {any} [body] the boat's package
 */
export function word(vocabulary, code, body) {
  const key = `${vocabulary}.${code}`;
  if (key in words) return t(key);
  const row = (body?.vocabulary?.[vocabulary] ?? body?.[vocabulary] ?? []).find((/** @type {string[]} */ [known]) => known === code);
  return row ? row[1] : code;
}

/** @param {number} at */
export const clockTime = (at) => new Intl.DateTimeFormat(region(), { hour: "2-digit", minute: "2-digit" }).format(at);

/** @param {string | number} day */
export const dayOf = (day) => new Intl.DateTimeFormat(region(), { day: "numeric", month: "long", year: "numeric" })
  .format(typeof day === "string" && day.length === 10 ? new Date(`${day}T12:00:00`) : new Date(day));

/** @param {number} at in words: the time alone where it was today */
export const momentOf = (at) => (new Date(at).toDateString() === new Date().toDateString() ? clockTime(at) : `${dayOf(at)}, ${clockTime(at)}`);

/** @param {number} value @param {number} [places] */
export const figure = (value, places = 1) => new Intl.NumberFormat(region(), { maximumFractionDigits: places }).format(value);
