// What is known of one boat on this tablet: her package, and over it what was said here since.

/**
 * @typedef {import("./store.js").Kept} Kept
 * @typedef {{ id: string, answer: string, signs: string[], observed_at: string, author: string, where: Kept["where"], sheet: any, errors?: any[] }} Said
 *   one answer as it stands, from the package or from this tablet
 */

const NOT_STANDING = new Set(["undone", "mended"]);

export class Aboard {
  /** @param {any} body the package @param {Kept[]} kept what this tablet recorded on her, in order */
  constructor(body, kept) {
    this.body = body;
    this.inspection = body.inspection.id;
    this.components = byId(body.components);
    this.checks = byId(body.checks);
    this.steps = byId(body.steps);
    this.earlier = byId(body.earlier);
    this.signs = new Map(body.signs.map((/** @type {any} */ sign) => [sign.code, sign]));
    this.kept = kept.filter(({ where }) => !NOT_STANDING.has(where));
    this.spots = byId(body.spots);
    for (const { sheet } of this.kept) {
      if (sheet.spot?.name && !this.spots.has(sheet.spot.id)) {
        this.spots.set(sheet.spot.id, { tag: "", findings: [], ...sheet.spot, component: this.componentOf(sheet), fresh: true });
      }
    }
    this.#layAnswers();
    this.#layDeeds();
  }

  /** @param {any} sheet */
  componentOf(sheet) {
    return sheet.component ?? this.checks.get(sheet.check)?.component ?? null;
  }

  #layAnswers() {
    /** @type {Map<string, Said>} */
    const said = new Map();
    for (const entry of this.body.entries) said.set(entry.id, saidAtTheYard(entry));
    for (const one of this.kept) if (!one.sheet.step) said.set(one.id, saidHere(one));
    for (const { sheet, where } of this.kept) if (sheet.supersedes && where !== "refused") said.delete(sheet.supersedes);
    /** @type {Map<number, Said[]>} */
    this.answers = new Map();
    /** @type {Said[]} */
    this.outside = [];
    for (const one of [...said.values()].sort((a, b) => (a.observed_at < b.observed_at ? -1 : 1))) {
      const check = one.sheet.check;
      if (check === undefined || check === null) this.outside.push(one);
      else this.answers.set(check, [...(this.answers.get(check) ?? []), one]);
    }
  }

  #layDeeds() {
    /** @type {Map<number, { outcome: string, reason: string, author: string, id: string, at: number }>} */
    this.deeds = new Map();
    for (const { id, said } of this.body.steps) {
      if (said) this.deeds.set(id, { ...said, author: said.author?.name ?? "", at: Date.parse(said.observed_at) });
    }
    for (const { id, sheet, authorName, madeAt, offset } of this.kept) {
      const before = this.steps.get(sheet.step)?.said;
      if (!sheet.step || (before && Date.parse(before.observed_at) > madeAt + (offset ?? 0))) continue;
      for (const same of this.steps.get(sheet.step)?.same ?? [sheet.step]) {
        this.deeds.set(same, { id, outcome: sheet.outcome, reason: sheet.reason ?? "", author: authorName, at: madeAt + (offset ?? 0) });
      }
    }
  }

  /** The answer that holds for a check: the newest one. @param {number} check @returns {Said | undefined} */
  answerTo(check) {
    return this.answers.get(check)?.at(-1);
  }

  /**
   * A check counts as answered when something was said that the yard has taken or will take. What was not seen because
   * it was closed is to be looked at again when somebody has opened it since.
   *
   * @param {number} check
   */
  answered(check) {
    const holding = (this.answers.get(check) ?? []).filter(({ where }) => where !== "refused").at(-1);
    return Boolean(holding) && !this.openedSince(check, holding);
  }

  /** @param {number} check @param {Said | undefined} said */
  openedSince(check, said) {
    if (said?.answer !== "not_seen") return false;
    const before = this.checks.get(check)?.after ?? [];
    const deeds = before.map((/** @type {number} */ step) => this.deeds.get(step));
    const opened = deeds.length > 0 && deeds.every((/** @type {any} */ deed) => deed?.outcome === "done");
    return opened && deeds.some((/** @type {any} */ deed) => deed.at > Date.parse(said.observed_at));
  }

  /** The steps before a check, each deed once. @param {any} check */
  stepsBefore(check) {
    const seen = new Set();
    return this.body.steps.filter((/** @type {any} */ step) => {
      if (!step.checks.includes(check.id) || seen.has(step.id)) return false;
      for (const same of step.same) seen.add(same);
      return true;
    });
  }

  /** One step for each deed, in the order that shares the effort. @returns {any[]} */
  openings() {
    const seen = new Set();
    return this.body.steps.filter((/** @type {any} */ step) => {
      if (seen.has(step.id)) return false;
      for (const same of [step.id, ...step.same]) seen.add(same);
      return true;
    });
  }

  /** All checks behind a deed. @param {any} step @returns {number[]} */
  behind(step) {
    const steps = step.same.map((/** @type {number} */ id) => this.steps.get(id)).filter(Boolean);
    return [...new Set([step, ...steps].flatMap((one) => one.checks))];
  }

  /** The next check without an answer: behind the given one in the round, else from its beginning. @param {number} [after] */
  next(after) {
    const round = this.body.checks;
    const from = after === undefined ? 0 : round.findIndex((/** @type {any} */ check) => check.id === after) + 1;
    return [...round.slice(from), ...round.slice(0, from)].find((check) => !this.answered(check.id) && check.id !== after);
  }

  progress() {
    const total = this.body.checks.length;
    const left = this.body.checks.filter((/** @type {any} */ check) => !this.answered(check.id)).length;
    return { total, left, done: total - left };
  }

  /** What was found at a check's place before, the newest first. @param {any} check */
  earlierAt(check) {
    return (check.earlier ?? []).map((/** @type {string} */ id) => this.earlier.get(id)).filter(Boolean);
  }

  /** Spots of a component, those made here too. @param {number | null} component */
  spotsOf(component) {
    return [...this.spots.values()].filter((spot) => spot.component === component);
  }

  /** @param {string} tag in its stored form */
  spotOfTag(tag) {
    return [...this.spots.values()].find((spot) => spot.tag === tag);
  }

  /** A part with its position, as the pages call it. @param {number | null | undefined} id */
  partName(id) {
    const part = id === null || id === undefined ? undefined : this.components.get(id);
    if (!part) return "";
    return part.position ? `${part.name}, ${part.position}` : part.name;
  }

  /** Names of the classes for which a newer template was published since this inspection was made. @returns {string[]} */
  newerTemplates() {
    const names = new Map(this.body.components.map((/** @type {any} */ part) => [part.component_class, part.class_name]));
    const newer = (this.body.templates ?? []).filter((/** @type {any} */ { number, newest }) => newest > number);
    return newer.map((/** @type {any} */ { component_class: code }) => names.get(code) ?? code);
  }

  /** What an answer is about, in a few words. @param {any} sheet */
  placeName(sheet) {
    if (sheet.step) return this.steps.get(sheet.step)?.text ?? "";
    const check = this.checks.get(sheet.check);
    return sheet.elsewhere || [this.partName(this.componentOf(sheet)), check?.prompt].filter(Boolean).join(": ");
  }
}

/** @param {any[]} rows @returns {Map<any, any>} */
const byId = (rows) => new Map(rows.map((row) => [row.id, row]));

/** @param {any} entry @returns {Said} */
function saidAtTheYard(entry) {
  const { id, answer, signs, observed_at, author } = entry;
  return { id, answer, signs, observed_at: new Date(observed_at).toISOString(), author: author?.name ?? "", where: "yard", sheet: entry };
}

/** @param {Kept} one @returns {Said} */
function saidHere({ id, sheet, authorName, where, errors, madeAt, offset }) {
  const observed_at = new Date(madeAt + (offset ?? 0)).toISOString();
  return { id, answer: sheet.answer, signs: sheet.signs ?? [], observed_at, author: authorName, where, sheet, errors };
}
