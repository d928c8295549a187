// Shows what stands on standard input, a document a line: reports as pages, and lines of
// a history by what they are about.
//
//     go run ./examples/checkload -policy us-cdc-2003 -json FILE... | node build/main.js
import { createInterface } from "node:readline";
import type { LineOfAHistory } from "../types/line.js";
import type { Report } from "../types/report.js";
import { page } from "./front.js";
import { about } from "./lines.js";

// Who reads documents of others validates them against the schema before this cast.
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  const document = JSON.parse(line) as Report | LineOfAHistory;
  console.log(document.format === "moistheat.report/1" ? page(document).join("\n") + "\n" : about(document));
}
