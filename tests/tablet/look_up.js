// Looks up what is asked on standard input, for a test in Python: {"table", "asked": [...]} to a list of priorities.
import { readFileSync } from "node:fs";

import { firstReading } from "../../web/static/web/tablet/reading.js";

const { table, asked } = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(asked.map((said) => {
  const found = firstReading(table, said);
  return found && [found.priority, found.words];
})));
