// At the sign-in by password: what the yard wants beside it, and what whoever stands there reads, in both languages.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";

import { ask } from "../../web/static/web/tablet/asking.js";
import { shutWords, wantsSecond } from "../../web/static/web/tablet/letting_in.js";
import { setWords } from "../../web/static/web/tablet/words.js";
import { problem } from "./yard.js";

const folder = new URL("../../web/static/web/tablet/words/", import.meta.url);
const told = (status, more = {}, headers = {}) =>
  ask("/devices/", { method: "POST", json: {}, fits: () => true, fetcher: async () => problem(status, [], more, headers) });

for (const code of ["en", "de"]) {
  const words = JSON.parse(readFileSync(new URL(`${code}.json`, folder), "utf8"));

  test(`${code}: a code is asked for only where the yard wants one, and said to be wrong only where one was given`, async () => {
    setWords(code, words);
    for (const [answer, wants, text] of [
      [await told(401), false, words["refused.sign_in"]],
      [await told(401, { second_factor: "wanted" }), true, words["sign_in.second_wanted"]],
      [await told(401, { second_factor: "wrong" }), true, words["refused.second_factor"]],
      [await told(403), false, words["trouble.not_allowed"]],
      [await told(422), false, words["refused.sign_in"]],
      [await told(429, {}, { "retry-after": "61" }), false, words["sign_in.wait"].other.replace("{n}", "2")],
      [await told(503), false, words["answer.busy"]],
    ]) {
      assert.equal(wantsSecond(answer), wants);
      assert.equal(shutWords(answer), text);
    }
  });
}
