import { describe, expect, it } from "vitest";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { type FileFault, fileFaultText } from "../../src/config/file-fault.ts";
import { parseLaboratoryFile } from "../../src/config/laboratory-file.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import type { Result } from "../../src/vocabulary/result.ts";
import { type BrokenRow, brokenBenches, brokenLaboratories, brokenUnits } from "./broken-rows.ts";
import { accepted } from "./example-files.ts";
import { changed, goodBench, goodLaboratory, goodUnit, lineOf } from "./good-texts.ts";
import { knownParts } from "./known-parts.ts";

/** One mistake gives one message, at its line, that says what is wrong and what to write. */
const onlyFault = (result: Result<unknown, readonly FileFault[]>): FileFault => {
  if (result.ok) throw new Error("the file was accepted");
  const [first, ...more] = result.fault;
  if (first === undefined || more.length > 0) throw new Error(result.fault.map(fileFaultText).join("\n"));
  return first;
};

const check = (
  name: string,
  good: string,
  parse: (text: string) => Result<unknown, readonly FileFault[]>,
  rows: readonly BrokenRow[],
): void => {
  describe(`a broken ${name} file`, () => {
    it("is made from one that is right", () => {
      accepted(parse(good));
    });
    it.each(rows)("%s", (_id, part, into, at, says, remedy) => {
      const text = changed(good, part, into);
      const found = onlyFault(parse(text));
      expect(found.line).toBe(lineOf(text, at));
      expect(found.message).toContain(says);
      expect(found.remedy).toContain(remedy);
      expect(fileFaultText(found)).toBe(`x.yaml:${found.line}:${found.column}  ${found.message} ${found.remedy}`);
      expect(found.message).toMatch(/\.$/u);
      expect(found.remedy).toMatch(/\.$/u);
    });
  });
};

check("bench", goodBench, (text) => parseBenchFile(text, "x.yaml", knownParts), brokenBenches);
check("unit", goodUnit, (text) => parseUnitFile(text, "x.yaml"), brokenUnits);
check("laboratory", goodLaboratory, (text) => parseLaboratoryFile(text, "x.yaml"), brokenLaboratories);
