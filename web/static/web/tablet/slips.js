// What is wrong with a code that was typed, in words.

import { t } from "./words.js";

/** @param {import("./tag_code.js").Slip} slip */
export function slipWords(slip) {
  if (slip.wrong === "character") return t(slip.perhaps ? "tag.character" : "tag.stranger", { character: slip.character ?? "", perhaps: slip.perhaps ?? "" });
  return t(`tag.${slip.wrong}`, { n: slip.count ?? 0 });
}
