// The first reading of a priority, offline. There is one judgement, the yard's; the boat's package carries what that
// judgement says of each part over the answers that matter, and here it is only looked up. Outside the table the yard
// will judge, and the page says so.

/**
 * @typedef {{ priority: string, words: string, confirm: string }} FirstReading
 *   words: as the yard writes it. confirm: what would make it sure, as a code; empty where nothing is to be done
 * @typedef {{
 *   component: number | null, signs: string[], water?: string, seal?: string, moves?: string, trend?: string,
 *   sides?: string, in_load_path?: boolean | null, load?: string, size_mm?: string, measuredBefore?: boolean,
 *   moisture?: string, moistureBeside?: string, woodTemperature?: string, day: string,
 * }} Said day: of the look in the yard's zone, as 2027-04-01
 */

/**
 * @param {any} table the package's `first_reading`
 * @param {Said} said
 * @returns {FirstReading | null} null: the yard will judge
 */
export function firstReading(table, said) {
  const group = groupOf(table, said.component);
  if (!group || !said.signs.length || said.day < table.from || said.day > table.until) return null;
  if (said.load || (said.size_mm && said.measuredBefore)) return null;
  if (said.signs.length > 1 && said.signs.some((sign) => table.alone.includes(sign))) return null;
  const moisture = moistureBucket(table.beside, group.meter, said);
  if (moisture === null) return null;
  const answers = normalised(table.same, said, moisture);
  const values = said.signs.map((sign) => valueOf(table, group, sign, answers));
  if (values.some((value) => !value)) return null;
  const pressing = values.filter((value) => !value.left);
  const gravest = (pressing.length ? pressing : values).reduce((one, other) => (other.rank < one.rank ? other : one));
  const words = gravest.words[said.sides ?? ""] ?? gravest.words[""];
  const confirm = words.split(": ").slice(1).join(": ").replaceAll(" ", "_");
  return { priority: gravest.priority, words, confirm };
}

/**
 * The questions on which anything hangs for these signs at this part.
 *
 * @param {any} table
 * @param {number | null} component
 * @param {string[]} signs
 * @returns {Set<string> | null} null where the table does not know them
 */
export function whatMatters(table, component, signs) {
  const group = groupOf(table, component);
  const sheets = signs.map((sign) => group?.signs[sign]);
  if (!group || !signs.length || sheets.some((sheet) => !sheet)) return null;
  /** @type {Set<string>} */
  const matters = new Set();
  for (const [plane, axes] of group.planes.entries()) {
    for (const numbers of sheets) {
      const sheet = table.sheets[numbers[plane]];
      if (!sheet) continue;
      let stride = sheet.length;
      for (const [axis, list] of axes) {
        const span = stride;
        stride /= list.length;
        if (differsAlong(table.values, sheet, span, stride)) matters.add(axis);
      }
    }
  }
  return matters;
}

/** @param {any} values @param {string} sheet @param {number} span @param {number} stride */
function differsAlong(values, sheet, span, stride) {
  const priority = (/** @type {number} */ index) => values[sheet[index]]?.priority;
  for (let index = 0; index < sheet.length; index += 1) {
    const first = index - (Math.floor((index % span) / stride) * stride);
    if (sheet[index] !== sheet[first] && priority(index) !== priority(first)) return true;
  }
  return false;
}

/** @param {any} table @param {number | null} component */
const groupOf = (table, component) => table?.groups[table.components[component === null ? "elsewhere" : String(component)]];

/** @param {any} same @param {Said} said @param {string} moisture @returns {Record<string, string>} */
function normalised(same, said, moisture) {
  const path = said.in_load_path === true ? "yes" : said.in_load_path === false ? "no" : "";
  const given = { water: said.water, seal: said.seal, moves: said.moves, trend: said.trend, moisture, path };
  return Object.fromEntries(Object.entries(given).map(([axis, value = ""]) => [axis, same[axis]?.[value] ?? value]));
}

/** @param {any} table @param {any} group @param {string} sign @param {Record<string, string>} answers */
function valueOf(table, group, sign, answers) {
  const given = Object.keys(answers).filter((axis) => answers[axis] !== "");
  const plane = group.planes.findIndex((/** @type {[string, string[]][]} */ axes) => given.every((axis) => axes.some(([name]) => name === axis)));
  const sheet = table.sheets[group.signs[sign]?.[plane]];
  if (!sheet) return null;
  let index = 0;
  for (const [axis, list] of group.planes[plane]) {
    const place = list.indexOf(answers[axis]);
    if (place < 0) return null;
    index = index * list.length + place;
  }
  return table.values[sheet[index]] ?? null;
}

/**
 * How wet it is, as far as judgement tells cases apart.
 *
 * @param {{ wet_pct: number, soaking_pct: number, contrast_points: number, same_points: number }} limits
 * @param {any} meter by month and whole °C of the wood: from where it is damp, from where wet
 * @param {Said} said
 * @returns {string | null} empty where nothing was measured, null where the table can't say
 */
export function moistureBucket(limits, meter, { moisture, moistureBeside, woodTemperature, day }) {
  if (!moisture) return "";
  const here = Number(moisture);
  const soaking = here >= limits.soaking_pct;
  if (moistureBeside) {
    const more = here - Number(moistureBeside);
    if (more >= limits.contrast_points) return soaking ? "soaking_wetter" : here >= limits.wet_pct ? "wet_wetter" : "wetter";
    if (more <= limits.same_points) return soaking ? "soaking_same" : "same";
    return soaking ? null : "between";
  }
  if (soaking) return "soaking";
  const month = meter?.[String(Number(day.slice(5, 7)))];
  const degrees = woodTemperature ? [Math.floor(Number(woodTemperature)), Math.ceil(Number(woodTemperature))].map(String) : [""];
  const buckets = degrees.map((degree) => bucketOf(here, month?.[degree]));
  return buckets.every((bucket) => bucket === buckets[0]) ? buckets[0] : null;
}

/** @param {number} here @param {[number | null, number | null] | undefined} pair */
function bucketOf(here, pair) {
  if (!pair) return null;
  const [damp, wet] = pair;
  if (wet !== null && here >= wet) return "wet";
  return damp !== null && here >= damp ? "damp" : "dry";
}
