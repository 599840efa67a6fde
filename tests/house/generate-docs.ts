import { writeFileSync } from "node:fs";
import { fileReference } from "../../src/config/file-reference.ts";

/** Writes the generated documentation of the files again: `npm run docs:generate`. */
for (const [name, text] of fileReference()) {
  writeFileSync(new URL(`../../bench-configs/${name}`, import.meta.url), text);
  process.stdout.write(`bench-configs/${name}\n`);
}
