// How it stands with the yard, always in words.

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
  if (trouble.kind === "not_allowed") return t("trouble.not_allowed", { detail: trouble.detail ?? "" });
  if (trouble.kind === "refused") return t("trouble.refused", { detail: trouble.detail ?? "" });
  if (trouble.why === "stranger") return t("trouble.stranger");
  if (trouble.why === "busy") return t("trouble.busy");
  return facts.contact ? "" : t("trouble.network");
}

/** What went wrong with one request that somebody asked for. @param {any} answer */
export function answerWords(answer) {
  if (answer.kind === "out_of_reach") return t(`answer.${answer.why}`);
  if (answer.kind === "signed_out") return t("trouble.signed_out");
  const first = answer.errors?.[0];
  return first ? `${answer.detail} ${first.problem}: ${first.remedy}.` : answer.detail;
}

export { clockTime };
