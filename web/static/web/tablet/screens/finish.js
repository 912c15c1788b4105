// The end of the day on one boat: what nobody has answered, what still waits here, and closing her inspection.

import { button, h, refill } from "../dom.js";
import { notSeenSheet } from "../entry_sheets.js";
import { fetchBoat, fetchToday } from "../fetching.js";
import { asSaid } from "../refusals.js";
import { answerWords } from "../status.js";
import { t } from "../words.js";
import { addresses } from "../yard.js";
import { back, boatOf } from "./aboard.js";

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show(call) {
  const { aboard, inspection } = await boatOf(call);
  const { tablet, page } = call;
  const left = aboard.body.checks.filter((/** @type {any} */ { id }) => !aboard.answered(id));
  const waiting = aboard.kept.filter(({ where }) => where === "kept").length;
  const refused = aboard.kept.filter(({ where }) => where === "refused").length;
  const photos = (await tablet.store.photosUnsent()).filter((photo) => photo.inspection === inspection).length;
  const closed = aboard.body.inspection.closed_at;
  const ready = !left.length && !waiting && !photos && !refused;
  const told = h("div", { role: "status" });
  const close = button(t("finish.close"), closeIt, { class: "main", id: "close", disabled: !ready });
  return {
    title: t("finish.title", { boat: aboard.body.boat.name }),
    back: back(),
    boat: inspection,
    live: true,
    body: [
      closed && h("p", { class: "note" }, t("finish.closed")),
      h("h2", {}, t("finish.unanswered")),
      left.length ? h("p", {}, t("finish.left", { n: left.length })) : h("p", {}, t("finish.none_left")),
      left.length > 0 && h("ul", { class: "rows" }, left.map((/** @type {any} */ check) => h("li", {}, h("a", { class: "row", href: `#/boat/${inspection}/check/${check.id}` },
        h("span", { class: "row-name" }, check.prompt), h("span", { class: "soft" }, aboard.partName(check.component)))))),
      left.length > 1 && allNotSeen(),
      h("h2", {}, t("finish.waiting")),
      h("p", {}, waiting || photos ? [t("finish.entries_wait", { n: waiting }), ", ", t("finish.photos_wait", { n: photos })].join("") : t("finish.all_there")),
      refused > 0 && h("p", {}, h("a", { href: "#/kept" }, t("status.refused", { n: refused }))),
      (waiting > 0 || photos > 0) && h("p", { class: "deeds" }, button(t("kept.try"), () => tablet.courier.hurry(), { id: "try" })),
      !closed && h("section", {}, h("h2", {}, t("finish.closing")),
        h("p", { class: "purpose" }, t("finish.purpose")), told,
        h("p", { class: "deeds" }, close)),
    ],
  };

  function allNotSeen() {
    const input = h("input", { id: "why-all", type: "text", maxlength: 300, autocomplete: "off" });
    return h("details", {}, h("summary", {}, t("finish.all_not_seen", { n: left.length })),
      h("form", { on: { submit: async (/** @type {Event} */ event) => {
        event.preventDefault();
        if (!input.value.trim()) return input.focus();
        try {
          await tablet.keep(inspection, left.map((/** @type {any} */ { id }) => notSeenSheet({ check: id, supersedes: aboard.answerTo(id)?.id }, input.value)));
        } catch (error) {
          return page.say(t("keep.failed", { why: String(/** @type {any} */ (error)?.name ?? error) }));
        }
        await page.show();
        return page.say(t("finish.said_not_seen", { n: left.length }));
      } } },
      h("p", { class: "field" }, h("label", { for: "why-all" }, t("check.why_not")), input),
      h("p", { class: "deeds" }, h("button", {}, t("keep")))));
  }

  async function closeIt() {
    close.disabled = true;
    refill(told, h("p", {}, t("finish.asking")));
    const answer = await tablet.ask(addresses.close(inspection), {
      method: "POST", json: { author: tablet.person?.id }, fits: (/** @type {any} */ body) => body.id === inspection,
    });
    if (answer.kind === "ok") {
      await fetchBoat(tablet, inspection);
      await fetchToday(tablet);
      await page.show();
      return page.say(t("finish.is_closed", { boat: aboard.body.boat.name }));
    }
    close.disabled = false;
    const errors = answer.kind === "refused" ? answer.errors : [];
    return refill(told, h("p", { class: "refused" }, errors.length ? t("finish.not_yet") : answerWords(answer)), errors.length > 0 && h("ul", {}, errors.map(objection)));
  }

  /** @param {import("../asking.js").Objection} error */
  function objection({ field, problem, remedy }) {
    const check = aboard.checks.get(Number(field.replace("checks.", "")));
    if (check) return h("li", {}, h("a", { href: `#/boat/${inspection}/check/${check.id}` }, `${aboard.partName(check.component)}: ${check.prompt}`), " ", t("finish.no_answer"));
    if (field.startsWith("photos.")) return h("li", {}, t("finish.photo_missing"));
    return h("li", {}, t("refused.other"), ...asSaid([`${field}: ${problem}; ${remedy}.`]));
  }
}
