// How it stands with the yard, always in words.

import { clockIsWrong } from "./clock.js";
import { refusalWords } from "./refusals.js";
import { clockTime, momentOf, t } from "./words.js";

/** @param {import("./tablet.js").Tablet} tablet */
export function statusWords({ counts, facts, busy }) {
  const { entries, photos } = counts;
  const parts = [
    t("status.kept", { n: entries.kept }),
    t("status.yard", { n: entries.yard + entries.aside }),
  ];
  if (photos.kept) parts.push(t("status.photos", { n: photos.kept }));
  if (entries.refused + photos.refused) parts.push(t("status.refused", { n: entries.refused + photos.refused }));
  parts.push(facts.contact ? t("status.contact", { at: momentOf(facts.contact.at) }) : t("status.never"));
  if (busy) parts.push(t("status.busy"));
  return parts.join(", ");
}

/** What stands in the way, if anything does. @param {import("./tablet.js").Tablet} tablet @returns {string} */
export function troubleWords({ trouble, facts }) {
  if (!trouble) return "";
  if (trouble.kind === "signed_out") return t(trouble.withdrawn ? "trouble.withdrawn" : "trouble.signed_out");
  if (trouble.kind === "not_allowed") return t("trouble.not_allowed");
  if (trouble.kind === "refused") return t("trouble.refused");
  if (trouble.why === "stranger") return t("trouble.stranger");
  if (trouble.why === "busy") return t("trouble.busy");
  return facts.contact ? "" : t("trouble.network");
}

/** What somebody is to know before anything else, most of all what stands in the way. @param {import("./tablet.js").Tablet} tablet */
export function warningsOf(tablet) {
  const { storage, facts, newerContract } = tablet;
  return [
    troubleWords(tablet),
    storage.nearlyFull && t("warn.full"),
    clockIsWrong(facts.clock) && t("warn.clock", { n: Math.round(Math.abs(facts.clock.offset) / 60_000) }),
    newerContract && t("warn.contract"),
  ].filter(Boolean);
}

/** What went wrong with one request that somebody asked for. @param {any} answer */
export function answerWords(answer) {
  if (answer.kind === "out_of_reach") return t(`answer.${answer.why}`);
  if (answer.kind === "signed_out") return t("trouble.signed_out");
  if (answer.kind === "not_allowed") return t("trouble.not_allowed");
  return answer.errors?.length ? refusalWords(answer.errors).join(" ") : t("refused.other");
}

export { clockTime };
