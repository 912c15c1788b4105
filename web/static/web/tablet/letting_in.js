// What the yard says to name and password, and what it wants beside them.

import { answerWords } from "./status.js";
import { t } from "./words.js";

/** Whether the password was right, and a code is wanted with it. @param {import("./asking.js").Answer} answer */
export const wantsSecond = (answer) => answer.kind === "signed_out" && answer.secondFactor !== undefined;

/** @param {import("./asking.js").Answer} answer one that lets nobody in @returns {string} */
export function shutWords(answer) {
  if (answer.kind === "out_of_reach" && answer.why === "busy" && answer.after) {
    return t("sign_in.wait", { n: Math.ceil(answer.after / 60_000) });
  }
  if (answer.kind === "out_of_reach" || answer.kind === "not_allowed") return answerWords(answer);
  if (answer.kind === "signed_out" && answer.secondFactor === "wanted") return t("sign_in.second_wanted");
  return t(wantsSecond(answer) ? "refused.second_factor" : "refused.sign_in");
}
