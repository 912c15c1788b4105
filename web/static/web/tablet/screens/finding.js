// A finding in half a minute: what is seen, how large, how it stands there, a photo, the place. Only what matters for
// the signs that were chosen is asked openly; everything that was said is in a draft on the disk at once.

import { apart } from "../apart.js";
import { button, h, refill } from "../dom.js";
import { emptyFinding, findingSheet } from "../entry_sheets.js";
import { readTag } from "../tag_code.js";
import { t, word } from "../words.js";
import { boatOf, NotHere, signName } from "./aboard.js";
import { questions } from "./finding_questions.js";
import { readingLine } from "./first_reading.js";
import { photosField } from "./photos.js";
import { signKeys } from "./sign_keys.js";
import { nameOfSpot, spotField } from "./spot_field.js";

/** @typedef {import("../entry_sheets.js").FindingForm} Form */

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show(call) {
  const { aboard, inspection } = await boatOf(call);
  const { tablet, page, query } = call;
  const check = aboard.checks.get(Number(query.get("check"))) ?? null;
  const component = check?.component ?? (Number(query.get("component")) || null);
  const elsewhere = query.get("elsewhere") ?? "";
  if (!check && !aboard.components.has(component) && !elsewhere) throw new NotHere();
  const standing = check && aboard.answerTo(check.id);
  const place = { check: check?.id, component, elsewhere, supersedes: standing && standing.where !== "refused" ? standing.id : null };
  const draftName = `draft:${inspection}:${check ? `check:${check.id}` : (component ?? "elsewhere")}`;
  const draft = await tablet.store.fact(draftName);
  /** @type {Form} */
  const form = draft?.form ?? { ...emptyFinding(), spot: firstSpot() };
  /** @type {import("./photos.js").Taken[]} */
  let photos = draft?.photos ?? [];
  const back = check ? `/boat/${inspection}/check/${check.id}` : `/boat/${inspection}/round`;
  const title = check ? aboard.partName(component) : elsewhere || aboard.partName(component);

  const asked = h("div", { class: "questions" });
  const reading = h("p", { class: "first-reading", "aria-live": "polite" });
  const problem = h("p", { class: "refused", role: "alert", hidden: true });
  const subject = { aboard, check, component, form };
  let keeping = false;

  /** Whatever was said is kept as a draft, so that a page that is killed has it still. */
  function said() {
    refill(reading, readingLine(tablet, subject));
    return tablet.store.setFact(draftName, { form, photos, at: Date.now(), address: location.hash });
  }
  function ask() {
    refill(asked, questions(subject, () => apart(said())));
  }
  ask();
  refill(reading, readingLine(tablet, subject));

  return {
    title,
    back: { href: `#${back}`, words: check ? t("finding.back") : t("places.round") },
    boat: inspection,
    kind: "finding",
    body: [
      check && h("p", { class: "part" }, check.prompt),
      draft && h("p", { class: "note" }, t("finding.draft"), " ", button(t("finding.afresh"), async () => {
        await tablet.store.setFact(draftName, undefined);
        await page.show();
      }, { class: "plain" })),
      signKeys(subject, () => { ask(); apart(said()); }),
      asked,
      photosField({ photos, changed: (now) => {
        photos = now;
        form.photos = photos.map(({ sha256 }) => sha256);
        return said();
      } }),
      elsewhere || check?.spot ? fixedSpot() : spotField(subject, () => apart(said())),
      h("p", { class: "field" }, h("label", { for: "note" }, t("finding.note")),
        h("textarea", { id: "note", rows: 3, maxlength: 4000, prop: { value: form.note }, on: { input: (/** @type {any} */ event) => {
          form.note = event.target.value;
          apart(said());
        } } }),
        h("span", { class: "hint" }, t("finding.note_hint"))),
    ],
    foot: h("div", { class: "answers" }, problem, reading,
      h("div", { class: "answer-keys" }, button(t("finding.keep"), keep, { class: "main", id: "keep" }))),
  };

  function firstSpot() {
    if (elsewhere) return null;
    const named = query.get("spot") ?? check?.spot;
    const known = named && aboard.spots.get(named);
    if (known) return { id: known.id, fresh: false, tag: known.tag, name: known.name, x: null, y: null, level: "" };
    if (aboard.spotsOf(component).length && !query.get("tag")) return null; // which of them, or a new one, is for somebody to say
    const tag = readTag(query.get("tag") ?? "");
    return { id: "", fresh: true, tag: "code" in tag ? tag.code : "", name: "", x: null, y: null, level: "deck" };
  }

  function fixedSpot() {
    const spot = check?.spot && aboard.spots.get(check.spot);
    return spot && h("p", { class: "field" }, h("span", { class: "label" }, t("spot.title")), " ", spot.name, spot.tag && h("span", { class: "code" }, ` ${spot.tag.slice(0, 4)}-${spot.tag.slice(4)}`));
  }

  async function keep() {
    if (keeping) return;
    const wrong = !form.signs.length ? "finding.sign_wanted" : !elsewhere && !form.spot ? "finding.spot_wanted" : form.spot?.fresh && form.spot.tag && !("code" in readTag(form.spot.tag)) ? "tag.sum" : "";
    problem.hidden = !wrong;
    problem.textContent = wrong && t(wrong);
    if (wrong) return;
    const ready = { ...form, spot: form.spot && nameOfSpot(subject) };
    const mended = standing?.where === "refused" ? standing.id : undefined;
    keeping = true;
    try {
      await tablet.keep(inspection, [findingSheet(place, ready)], { photos, draft: draftName, mended });
    } catch (error) {
      keeping = false;
      problem.hidden = false;
      problem.textContent = t("keep.failed", { why: String(/** @type {any} */ (error)?.name ?? error) });
      return;
    }
    const next = (await tablet.aboard(inspection))?.next(check?.id);
    const what = `${title}: ${form.signs.map((code) => signName(aboard, code)).join(", ")}`;
    page.carry(t("kept.said", { what }));
    await page.go(check && next ? `/boat/${inspection}/check/${next.id}` : `/boat/${inspection}/round`);
  }
}

/** Something seen outside the list: on which part, or where. @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function besides(call) {
  const { aboard, inspection } = await boatOf(call);
  const { page, query } = call;
  const tag = query.get("tag");
  const carry = tag ? `&tag=${tag}` : "";
  const elsewhere = h("input", { id: "elsewhere", type: "text", maxlength: 200, autocomplete: "off" });
  const groups = new Map();
  for (const part of aboard.body.components) groups.set(part.group, [...(groups.get(part.group) ?? []), part]);
  return {
    title: t("besides.title"),
    back: { href: `#/boat/${inspection}/round`, words: t("places.round") },
    boat: inspection,
    body: [
      tag && h("p", { class: "note" }, t("besides.tag", { tag: `${tag.slice(0, 4)}-${tag.slice(4)}` })),
      h("p", { class: "purpose" }, t("besides.purpose")),
      ...[...groups].map(([group, parts]) => h("section", {}, group && h("h2", {}, word("group", group, aboard.body)),
        h("ul", { class: "keys" }, parts.map((/** @type {any} */ part) => h("li", {}, h("a", { class: "button", href: `#/boat/${inspection}/finding?component=${part.id}${carry}` }, aboard.partName(part.id))))))),
      h("form", { on: { submit: (/** @type {Event} */ event) => {
        event.preventDefault();
        const where = elsewhere.value.trim();
        if (where) void page.go(`/boat/${inspection}/finding?elsewhere=${encodeURIComponent(where)}`);
        else elsewhere.focus();
      } } },
      h("h2", {}, t("besides.elsewhere")),
      h("p", { class: "field" }, h("label", { for: "elsewhere" }, t("besides.where")), elsewhere),
      h("p", { class: "deeds" }, h("button", {}, t("besides.on")))),
    ],
  };
}
