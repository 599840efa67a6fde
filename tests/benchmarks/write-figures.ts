import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** Prints the figures of a benchmark and keeps them as `reports/NAME.txt`, which is ignored by version control. */
export const writeFigures = (name: string, lines: readonly string[]): void => {
  const text = `${lines.join("\n")}\n`;
  process.stdout.write(text);
  mkdirSync("reports", { recursive: true });
  writeFileSync(join("reports", `${name}.txt`), text);
};
