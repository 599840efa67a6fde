import { describe, expect, it } from "vitest";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { type FileFault, fileFaultText } from "../../src/config/file-fault.ts";
import { parseLaboratoryFile } from "../../src/config/laboratory-file.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import type { Result } from "../../src/vocabulary/result.ts";
import { goodBench, goodLaboratory, goodUnit } from "./good-texts.ts";
import { knownParts } from "./known-parts.ts";

/** The slips of a hand on one line of a good file. */
const slips: readonly (readonly [name: string, slip: (line: string) => string | null])[] = [
  ["lost", () => null],
  ["with two letters of its key swapped", (line) => line.replace(/([a-z_-]+)([a-z_-])([a-z_-]):/u, "$1$3$2:")],
  ["without its value", (line) => line.replace(/: .*/u, ":")],
  ["without its colon", (line) => line.replace(":", "")],
  ["indented by one more", (line) => ` ${line}`],
  ["indented by a tab", (line) => `\t${line}`],
  [
    "with its unit in capitals",
    (line) => line.replace(/(\d )([a-zA-Z]+)$/u, (_, number, unit) => number + unit.toUpperCase()),
  ],
];

const slipped = (text: string, index: number, slip: (line: string) => string | null): string =>
  text
    .split("\n")
    .flatMap((line, at) => (at === index ? (slip(line) ?? []) : line))
    .join("\n");

const files: readonly (readonly [string, string, (text: string) => Result<unknown, readonly FileFault[]>])[] = [
  ["bench", goodBench, (text) => parseBenchFile(text, "x.yaml", knownParts)],
  ["unit", goodUnit, (text) => parseUnitFile(text, "x.yaml")],
  ["laboratory", goodLaboratory, (text) => parseLaboratoryFile(text, "x.yaml")],
];

describe.each(files)("a %s file with one line", (_name, good, parse) => {
  it.each(slips)("%s gives one message at most", (_slip, slip) => {
    const told = good.split("\n").flatMap((line, index) => {
      const parsed = parse(slipped(good, index, slip));
      return parsed.ok || parsed.fault.length === 1 ? [] : [[line, ...parsed.fault.map(fileFaultText)]];
    });
    expect(told).toEqual([]);
  });
});
