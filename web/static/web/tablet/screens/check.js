// One place: what to look for there, what was found before, and the answer.

import { button, h, refill, stepper } from "../dom.js";
import { notFittedSheet, notSeenSheet, soundSheet } from "../entry_sheets.js";
import { dayOf, t, word } from "../words.js";
import { answerMark, boatOf, NotHere, keptPicture, priority, signName } from "./aboard.js";

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show(call) {
  const { aboard, inspection } = await boatOf(call);
  const check = aboard.checks.get(Number(call.params[1]));
  if (!check) throw new NotHere();
  const { tablet, page, query } = call;
  const round = `/boat/${inspection}/round`;
  const standing = aboard.answerTo(check.id);
  const component = aboard.partName(check.component);
  const place = { check: check.id, supersedes: standing && standing.where !== "refused" ? standing.id : null };
  const reading = check.answer_kind === "reading" ? { value: "", woodTemperature: "" } : null;
  const asked = h("div", { class: "asked-place" });
  let answered = false;
  const spot = query.get("spot") ? `&spot=${query.get("spot")}` : "";

  return {
    title: check.prompt,
    back: { href: `#${round}`, words: t("places.round") },
    boat: inspection,
    kind: "check",
    body: [
      h("p", { class: "part" }, component, ...why(check)),
      check.look_for && h("p", { class: "look-for" }, h("span", { class: "label" }, t("check.look_for")), " ", check.look_for),
      stepsBefore(),
      standing && h("p", { class: "note" }, t("check.said"), " ", answerMark(standing, aboard.body),
        standing.signs.length > 0 && `: ${standing.signs.map((code) => signName(aboard, code)).join(", ")}`,
        standing.author && ` · ${standing.author}`, ". ", t("check.again")),
      ...(await earlier(tablet, aboard, check)),
      reading && readingFields(reading),
      reasons(check),
    ],
    foot: h("div", { class: "answers" },
      asked,
      h("div", { class: "answer-keys" },
        button(word("answer", "sound", aboard.body), sound, { class: "main sound", id: "sound" }),
        h("a", { class: "button finding", id: "finding", href: `#/boat/${inspection}/finding?check=${check.id}${spot}` }, word("answer", "finding", aboard.body)),
        button(word("answer", "not_seen", aboard.body), notSeen, { id: "not-seen" }),
        button(word("answer", "not_fitted", aboard.body), () => answer([notFittedSheet(place)], "not_fitted", true), { id: "not-fitted" }))),
  };

  function stepsBefore() {
    const steps = aboard.stepsBefore(check);
    if (!steps.length) return null;
    return h("ul", { class: "before" }, steps.map((/** @type {any} */ step) => {
      const deed = aboard.deeds.get(step.id);
      const mark = deed?.outcome === "done" ? "✓" : deed ? "✕" : "○";
      return h("li", {}, h("span", { "aria-hidden": "true" }, `${mark} `), step.text, ": ",
        t(deed ? `opening.${deed.outcome}` : "opening.unsaid"), deed?.reason && ` (${deed.reason})`);
    }));
  }

  /** @param {{ value: string, woodTemperature: string }} given */
  function readingFields(given) {
    const { quantity, unit, minimum, maximum } = check.reading;
    const words = { less: t("less"), more: t("more") };
    const places = quantity.startsWith("moisture") ? 1 : 0;
    return h("div", { class: "steppers" },
      stepper({ ...words, id: "reading", label: word("quantity", quantity), unit: word("unit", unit), value: "", step: 1, places,
        low: Number(minimum ?? 0), high: Number(maximum ?? 100_000), changed: (value) => { given.value = value; } }),
      quantity.startsWith("moisture") && stepper({ ...words, id: "warm", label: t("finding.wood_temperature"), unit: "°C", value: "", step: 1, low: -40, high: 80, places: 1,
        changed: (value) => { given.woodTemperature = value; } }));
  }

  function sound() {
    if (reading && !reading.value) {
      refill(asked, h("p", { class: "refused", role: "alert" }, t("check.reading_wanted")));
      document.getElementById("reading")?.focus();
      return undefined;
    }
    const measured = reading && { quantity: check.reading.quantity, unit: check.reading.unit, ...reading };
    return answer([soundSheet(place, measured)], "sound", true);
  }

  function notSeen() {
    const input = h("input", { id: "why-not", type: "text", maxlength: 300, autocomplete: "off" });
    const closed = aboard.stepsBefore(check).filter((/** @type {any} */ step) => aboard.deeds.get(step.id)?.outcome !== "done")
      .map((/** @type {any} */ step) => t("why.not_opened", { step: step.text }));
    const usual = [...closed, t("why.covered"), t("why.no_access"), t("why.painted"), t("why.afloat"), t("why.dark")];
    refill(asked, h("form", { on: { submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      if (input.value.trim()) void answer([notSeenSheet(place, input.value)], "not_seen");
      else input.focus();
    } } },
    h("label", { for: "why-not" }, t("check.why_not")), input,
    h("div", { class: "keys" }, usual.map((text) => button(text, () => { input.value = text; }))),
    h("p", { class: "deeds" }, h("button", { class: "main", id: "keep" }, t("keep")), button(t("cancel"), () => refill(asked)))));
    input.focus();
  }

  /** @param {Record<string, any>[]} sheets @param {string} code @param {boolean} [undoable] */
  async function answer(sheets, code, undoable = false) {
    if (answered) return;
    answered = true;
    const mended = standing?.where === "refused" ? standing.id : undefined;
    const kept = await keepOrSay();
    if (!kept) return;
    const next = (await tablet.aboard(inspection))?.next(check.id);
    const undo = undoable && button(t("undo"), async () => {
      const undone = await tablet.undo(kept.id);
      page.carry(t(undone ? "undo.done" : "undo.late", { place: component }));
      await page.go(`/boat/${inspection}/check/${check.id}`);
    }, { id: "undo" });
    page.carry(t("kept.said", { what: `${component}: ${word("answer", code, aboard.body)}` }), undo || undefined);
    await page.go(next ? `/boat/${inspection}/check/${next.id}` : `/boat/${inspection}/finish`);

    async function keepOrSay() {
      try {
        return (await tablet.keep(inspection, sheets, { undoable, mended }))[0];
      } catch (error) {
        answered = false;
        refill(asked, h("p", { class: "refused", role: "alert" }, t("keep.failed", { why: String(/** @type {any} */ (error)?.name ?? error) })));
        return null;
      }
    }
  }
}

/** Where it stands in the round, in a word. @param {any} check */
function why(check) {
  const words = [];
  if (check.origin !== "template") words.push(word("origin", check.origin));
  if (check.risk) words.push(t("round.risk", { risk: word("risk", check.risk) }));
  if (check.loaded) words.push(t("check.loaded"));
  if (check.both_sides) words.push(t("check.both_sides"));
  if (check.photo_wanted) words.push(t("check.photo_wanted"));
  return words.map((text) => h("span", { class: "soft" }, ` · ${text}`));
}

/** @param {any} check */
const reasons = (check) => check.reasons?.length > 0 && h("details", {}, h("summary", {}, t("check.why_here")),
  h("ul", {}, check.reasons.map((/** @type {string} */ reason) => h("li", {}, reason)),
    check.open_up_advised && h("li", {}, h("strong", {}, t("check.open_up")), check.open_up_because && `: ${check.open_up_because}`)));

/** @param {import("../tablet.js").Tablet} tablet @param {import("../aboard.js").Aboard} aboard @param {any} check */
async function earlier(tablet, aboard, check) {
  const found = aboard.earlierAt(check);
  if (!found.length) return [];
  const [latest, ...older] = found;
  const told = (/** @type {any} */ one) => [
    h("strong", {}, `${dayOf(one.found_on)}: `),
    one.signs.map((/** @type {string} */ code) => signName(aboard, code)).join(", "),
    one.size_mm ? `, ${Number(one.size_mm)} mm` : "",
    one.priority ? [" · ", priority(one.priority, aboard.body)] : "",
    one.note ? h("span", { class: "soft" }, ` ${one.note}`) : "",
  ].flat();
  const pictures = await Promise.all(latest.photos.slice(0, 2).map((/** @type {any} */ { sha256 }) =>
    keptPicture(tablet, sha256, t("check.picture_of", { day: dayOf(latest.found_on) }))));
  return [h("section", { class: "earlier" }, h("h2", {}, t("check.earlier")),
    h("figure", {}, pictures, h("figcaption", {}, told(latest))),
    older.length > 0 && h("ul", {}, older.map((/** @type {any} */ one) => h("li", {}, told(one)))))];
}
