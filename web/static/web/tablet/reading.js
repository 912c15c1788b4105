// The first reading of a priority, offline. There is one judgement, the yard's; the boat's package carries what that
// judgement says of each part over the answers that matter, and here it is only looked up. Outside the table the yard
// will judge, and the page says so.

/**
 * @typedef {{ priority: string, words: string, confirm: string }} FirstReading
 *   words: as the yard writes it. confirm: what would make it sure, as a code; empty where nothing is to be done
 * @typedef {{
 *   component: number | null, signs: string[], water?: string, seal?: string, moves?: string, trend?: string,
 *   sides?: string, in_load_path?: boolean | null, load?: string, size_mm?: string, measuredBefore?: boolean,
 *   moisture?: string, moistureBeside?: string, woodTemperature?: string, species?: string, day: string,
 * }} Said day: of the look in the yard's zone, as 2027-04-01
 */

/**
 * @param {any} table the package's `first_reading`
 * @param {Said} said
 * @returns {FirstReading | null} null: the yard will judge
 */
export function firstReading(table, said) {
  if (!table || !said.signs.length || said.day < table.from || said.day > table.until) return null;
  if (said.load || (said.size_mm && said.measuredBefore)) return null;
  if (said.signs.length > 1 && said.signs.some((sign) => table.alone.includes(sign))) return null;
  const answers = normalised(table, said);
  if (!answers) return null;
  const part = table.components[said.component === null ? "elsewhere" : String(said.component)];
  const values = said.signs.map((sign) => valueOf(table, part?.[sign], answers));
  if (values.includes(null)) return null;
  const pressing = values.filter((value) => !value.left);
  const gravest = (pressing.length ? pressing : values).reduce((one, other) => (other.rank < one.rank ? other : one));
  const words = gravest.words[said.sides ?? ""] ?? gravest.words[""];
  const confirm = words.split(": ").slice(1).join(": ").replaceAll(" ", "_");
  return { priority: gravest.priority, words, confirm };
}

/** @param {any} table @param {Said} said @returns {Record<string, string> | null} */
function normalised(table, said) {
  const moisture = moistureBucket(table.moisture, said);
  if (moisture === null) return null;
  const given = {
    water: said.water, seal: said.seal, moves: said.moves, trend: said.trend, moisture,
    path: said.in_load_path === true ? "yes" : said.in_load_path === false ? "no" : "",
  };
  /** @type {Record<string, string>} */
  const answers = {};
  for (const [axis, value = ""] of Object.entries(given)) answers[axis] = table.same[axis]?.[value] ?? value;
  return answers;
}

/** @param {any} table @param {number[] | undefined} sheets by plane @param {Record<string, string>} answers */
function valueOf(table, sheets, answers) {
  if (!sheets) return null;
  const said = Object.keys(answers).filter((axis) => answers[axis] !== "");
  const plane = table.planes.findIndex((/** @type {string[]} */ axes) => said.every((axis) => axes.includes(axis)));
  if (plane < 0 || sheets[plane] === undefined || sheets[plane] === null) return null;
  const lists = Object.fromEntries(table.axes);
  let index = 0;
  for (const axis of table.planes[plane]) {
    const place = lists[axis].indexOf(answers[axis]);
    if (place < 0) return null;
    index = index * lists[axis].length + place;
  }
  const block = table.blocks[table.sheets[sheets[plane]][Math.floor(index / table.block_length)]];
  const character = block?.[index % table.block_length];
  return table.values.find((/** @type {any} */ value) => value.char === character) ?? null;
}

/**
 * @param {any} limits
 * @param {Said} said
 * @returns {string | null} a bucket of the axis, empty where nothing was measured, null where the table can't say
 */
function moistureBucket(limits, said) {
  if (!said.moisture && !said.moistureBeside) return "";
  return null;
}
