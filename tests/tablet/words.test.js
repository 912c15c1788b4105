// Both languages are complete, and no screen asks for a word that is not there.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import test from "node:test";

import { setWords, t, word } from "../../web/static/web/tablet/words.js";

const folder = new URL("../../web/static/web/tablet/", import.meta.url);
const read = (code) => JSON.parse(readFileSync(new URL(`words/${code}.json`, folder), "utf8"));
const en = read("en");
const de = read("de");
const files = ["", "screens/"].flatMap((inside) =>
  readdirSync(new URL(inside, folder)).filter((name) => name.endsWith(".js")).map((name) => readFileSync(new URL(inside + name, folder), "utf8")));
const source = files.join("\n");
const holes = (text) => (text.match(/\{\w+\}/g) ?? []).sort();
// Asked for by a code that is put together: `opening.${outcome}`, word("water", …).
const PUT_TOGETHER = /^(refused|answer|finding|opening|reading\.likely|reading\.confirm|settings|step|tag|water|seal|moves|trend|sides|priority|origin|risk|quantity|unit|levels|group)\./;

test("both have the same words, with the same holes and the same forms", () => {
  assert.deepEqual(Object.keys(de), Object.keys(en));
  for (const [key, english] of Object.entries(en)) {
    const german = de[key];
    assert.equal(typeof german, typeof english, key);
    const forms = typeof english === "string" ? [[english, german]] : Object.keys(english).map((form) => [english[form], german[form]]);
    for (const [one, other] of forms) {
      assert.ok(one && other, key);
      assert.deepEqual(holes(other), holes(one), key);
    }
  }
});

test("every word that a screen asks for is there, and every word is asked for", () => {
  const asked = new Set([...source.matchAll(/"([a-z_]+(?:\.[a-z_]+)*)"/g)].map(([, key]) => key));
  for (const [, key] of source.matchAll(/\bt\("([^"]+)"/g)) assert.ok(key in en, key);
  const idle = Object.keys(en).filter((key) => !asked.has(key) && !PUT_TOGETHER.test(key));
  assert.deepEqual(idle, []);
});

test("one and several are told apart, and a word of the yard's stands where we have none", () => {
  setWords("en", en);
  assert.equal(t("status.photos", { n: 1 }), "1 photo waiting");
  assert.equal(t("status.photos", { n: 3 }), "3 photos waiting");
  assert.equal(word("answer", "sound"), "Sound");
  assert.equal(word("answer", "odd", { vocabulary: { answer: [["odd", "odd one"]] } }), "odd one");
  setWords("de", de);
  assert.equal(t("status.kept", { n: 12 }), "12 auf diesem Tablet behalten");
});
