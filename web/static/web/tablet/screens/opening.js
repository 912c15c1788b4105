// What must come off or be cleaned, in an order that shares the effort. What can't be opened is said to be not seen.

import { button, h, refill } from "../dom.js";
import { notSeenSheet, stepSheet } from "../entry_sheets.js";
import { t } from "../words.js";
import { back, boatOf, newerTemplates } from "./aboard.js";

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show(call) {
  const { aboard, inspection } = await boatOf(call);
  const { tablet, page } = call;
  const steps = aboard.openings();
  const left = steps.filter(({ id }) => !aboard.deeds.has(id)).length;
  return {
    title: t("opening.title", { boat: aboard.body.boat.name }),
    back: back(),
    boat: inspection,
    body: [
      h("p", { class: "purpose" }, left ? t("opening.purpose", { n: left }) : t("opening.all")),
      newerTemplates(aboard),
      steps.length ? h("ol", { class: "steps" }, steps.map(line)) : h("p", { class: "note" }, t("opening.none")),
      h("p", { class: "deeds" }, h("a", { class: "button main", href: `#/boat/${inspection}/round` }, t("opening.on"))),
    ],
  };

  /** @param {any} step */
  function line(step) {
    const deed = aboard.deeds.get(step.id);
    const parts = [...new Set([step.id, ...step.same].map((/** @type {number} */ id) => aboard.partName(aboard.steps.get(id)?.component)))].filter(Boolean);
    const behind = aboard.behind(step);
    const more = h("div", {});
    return h("li", { class: deed ? `said-${deed.outcome}` : "" },
      h("h2", { id: `step-${step.id}` }, h("span", { class: "label" }, t(`step.${step.kind}`), ": "), step.text),
      h("p", { class: "soft" }, parts.join(" · "), " · ", t("opening.behind", { n: behind.length })),
      deed && h("p", { class: "deed" }, h("strong", {}, t(`opening.${deed.outcome}`)), deed.reason && `: ${deed.reason}`, deed.author && ` (${deed.author})`),
      h("div", { class: "deeds" },
        deed?.outcome !== "done" && button(t("opening.do_done"), () => say(step, "done"), { class: "main", id: `done-${step.id}`, "aria-describedby": `step-${step.id}` }),
        deed?.outcome !== "not_possible" && button(t("opening.do_not_possible"), () => why(step, more, behind), { id: `not-${step.id}`, "aria-describedby": `step-${step.id}` })),
      more);
  }

  /** @param {any} step @param {HTMLElement} place @param {number[]} behind */
  function why(step, place, behind) {
    const input = h("input", { type: "text", id: `why-${step.id}`, maxlength: 200, autocomplete: "off" });
    const usual = [t("why.seized"), t("why.would_break"), t("why.no_tool"), t("why.owner"), t("why.later")];
    const unanswered = behind.filter((id) => !aboard.answered(id));
    refill(place, h("form", { class: "asked", on: { submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      if (input.value.trim()) void say(step, "not_possible", input.value.trim(), unanswered);
      else input.focus();
    } } },
    h("label", { for: input.id }, t("opening.why")), input,
    h("div", { class: "keys" }, usual.map((text) => button(text, () => { input.value = text; }))),
    unanswered.length > 0 && h("p", { class: "note" }, t("opening.not_seen", { n: unanswered.length })),
    h("p", { class: "deeds" }, h("button", { class: "main" }, t("keep")))));
    input.focus();
  }

  /** @param {any} step @param {"done" | "not_possible"} outcome @param {string} [reason] @param {number[]} [unseen] */
  async function say(step, outcome, reason = "", unseen = []) {
    const hidden = unseen.map((check) => notSeenSheet({ check }, t("opening.reason", { reason })));
    try {
      await tablet.keep(inspection, [stepSheet(step.id, outcome, reason), ...hidden]);
    } catch (error) {
      return page.say(t("keep.failed", { why: String(/** @type {any} */ (error)?.name ?? error) }));
    }
    await page.show({ quietly: true });
    return page.say(unseen.length ? t("opening.kept_with", { step: step.text, n: unseen.length }) : t("kept.said", { what: `${step.text}: ${t(`opening.${outcome}`)}` }));
  }
}
