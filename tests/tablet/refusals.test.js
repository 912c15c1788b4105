// What the yard refuses is said in the technician's words, in both languages, and never in the yard's field names.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";

import { ABOUT, refusalWords } from "../../web/static/web/tablet/refusals.js";
import { setWords } from "../../web/static/web/tablet/words.js";

const folder = new URL("../../web/static/web/tablet/words/", import.meta.url);
const objection = (field) => ({ field, problem: "is wrong", remedy: "do better" });
// Beside those about a field: what stands for all others, above the yard's own words, and at the sign-in.
const BESIDE = ["for_office", "other", "second_factor", "sign_in"];

for (const code of ["en", "de"]) {
  const words = JSON.parse(readFileSync(new URL(`${code}.json`, folder), "utf8"));

  test(`${code}: what is the matter and what would do, once each`, () => {
    setWords(code, words);
    const there = Object.keys(words).filter((key) => key.startsWith("refused.")).map((key) => key.slice("refused.".length));
    assert.deepEqual(there.sort(), [...new Set(ABOUT.map(([, about]) => about)), ...BESIDE].sort());
    assert.deepEqual(refusalWords([objection("spot.tag")]), [words["refused.tag"]]);
    assert.deepEqual(refusalWords([objection("spot.plan_y"), objection("spot.id")]), [words["refused.spot"]]);
    assert.deepEqual(refusalWords([objection("readings[0].value"), objection("photos[3]")]), [words["refused.reading"], words["refused.photo"]]);
    assert.deepEqual(refusalWords([objection("sequence")]), [words["refused.other"]]);
    assert.deepEqual(refusalWords(undefined), [words["refused.other"]]);
  });
}
