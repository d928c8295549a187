// Runs a program built for wasip1, under the WASI of Node: wasi.mjs PROGRAM ARGUMENTS.
// It sees the folder it is started in and nothing else.
import { readFile } from "node:fs/promises";
import { argv, cwd, exit } from "node:process";
import { WASI } from "node:wasi";

const [, , program, ...args] = argv;
const wasi = new WASI({ version: "preview1", args: [program, ...args], env: { PWD: "/" }, preopens: { "/": cwd() } });
const module = await WebAssembly.compile(await readFile(program));
exit(wasi.start(await WebAssembly.instantiate(module, wasi.getImportObject())));
