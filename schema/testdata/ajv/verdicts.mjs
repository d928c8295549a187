// Reads lines of {"kind": "record", "text": "..."} and writes a line for each: 1 if the
// text is a document that fits the schema of its kind, 0 if not. The argument is the
// folder of the schemas. The first line says which implementation speaks.
import Ajv2020 from "ajv/dist/2020.js";
import addFormats from "ajv-formats";
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { createInterface } from "node:readline";

const folder = process.argv[2];
const ajv = new Ajv2020({ strict: true, strictTypes: true, strictTuples: true, strictRequired: true });
addFormats(ajv, { mode: "full" });

const suffix = ".schema.json";
const validators = {};
for (const file of readdirSync(folder)) {
  if (file.endsWith(suffix)) {
    validators[file.slice(0, -suffix.length)] = ajv.compile(JSON.parse(readFileSync(`${folder}/${file}`, "utf8")));
  }
}

const version = createRequire(import.meta.url)("ajv/package.json").version;
const out = [`ajv ${version}, node ${process.version}, ${Object.keys(validators).length} schemas`];
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  const { kind, text } = JSON.parse(line);
  out.push(validators[kind](JSON.parse(text)) ? "1" : "0");
}
process.stdout.write(out.join("\n") + "\n");
