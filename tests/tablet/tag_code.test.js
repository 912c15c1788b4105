// The check character: the tablet's reading of a code against the worked values of ISO/IEC 7064 that the yard's own is
// held against (079 takes X and 0794 takes 0 by MOD 11-2, G123489654321 takes Y by MOD 37-2), and against codes that
// the yard made (tags.json is what the yard's generator makes; test_node.py holds it to that).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";

import { ALPHABET, readScan, readTag, showTag, weightedSum } from "../../web/static/web/tablet/tag_code.js";

const { alphabet, tags } = JSON.parse(readFileSync(new URL("tags.json", import.meta.url), "utf8"));
const worked = [
  ["0123456789X", "079X"],
  ["0123456789X", "07940"],
  ["0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*", "G123489654321Y"],
];

for (const [characters, code] of worked) {
  test(`the standard's own code ${code} adds up, and with no other check character`, () => {
    const values = Array.from(code, (character) => characters.indexOf(character));
    const payload = values.slice(0, -1);
    const holds = Array.from(characters, (_, check) => weightedSum([...payload, check], characters.length, 2) === 1);
    assert.deepEqual(holds.flatMap((one, check) => (one ? [check] : [])), [values.at(-1)]);
  });
}

test("the yard's codes are read, however they are typed", () => {
  assert.equal(ALPHABET, alphabet);
  for (const code of tags) {
    const shown = showTag(code);
    for (const typed of [code, shown, shown.toLowerCase(), shown.replace("-", " "), ` ${shown}\n`, shown.replace("-", "‑")]) {
      assert.deepEqual(readTag(typed), { code });
    }
    assert.deepEqual(readScan(`https://yard.example/t/${code}/`), { code });
    assert.deepEqual(readScan(code), { code });
  }
});

test("every single wrong character and every swap is caught", () => {
  for (const code of tags.slice(0, 10)) {
    for (let place = 0; place < code.length; place += 1) {
      for (const other of "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") {
        if (other !== code[place]) assert.ok("wrong" in readTag(code.slice(0, place) + other + code.slice(place + 1)));
      }
      for (let second = place + 1; second < code.length; second += 1) {
        const swapped = [...code];
        [swapped[place], swapped[second]] = [swapped[second], swapped[place]];
        if (code[place] !== code[second]) assert.ok("wrong" in readTag(swapped.join("")));
      }
    }
  }
});

test("a slip is named: nothing typed, a look-alike, too few, a sum that is off", () => {
  const [code] = tags;
  assert.deepEqual(readTag("  - "), { wrong: "empty" });
  assert.deepEqual(readTag(`O${code.slice(1)}`), { wrong: "character", character: "O", perhaps: "D" });
  assert.deepEqual(readTag(code.slice(1)), { wrong: "length", count: 7 });
});
