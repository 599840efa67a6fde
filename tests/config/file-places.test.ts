import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { fileFaultText } from "../../src/config/file-fault.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import { readYaml } from "../../src/config/yaml-text.ts";
import { changed, goodBench, goodUnit } from "./good-texts.ts";
import { knownParts } from "./known-parts.ts";

const unitFaults = (text: string): readonly string[] => {
  const parsed = parseUnitFile(text, "units/u.yaml");
  return parsed.ok ? [] : parsed.fault.map(fileFaultText);
};

describe("the place of a mistake", () => {
  it("is the value when the value is wrong", () => {
    const [text] = unitFaults(changed(goodUnit, "  upper: 15 psi", "  upper: 15 PSI"));
    expect(text).toBe('units/u.yaml:12:10  output.upper: "15 PSI" has the unit PSI, which is not known. Write 15 psi.');
  });

  it("is the key when the key is wrong", () => {
    const [text] = unitFaults(changed(goodUnit, "  upper: 15 psi", "  uper: 15 psi"));
    expect(text).toBe(
      "units/u.yaml:12:3  output knows no key uper. Did you mean upper? Allowed here: lower, upper, mode.",
    );
  });

  it("is the group when a key is missing", () => {
    expect(unitFaults(changed(goodUnit, "  upper: 15 psi\n", ""))[0]).toMatch(
      /^units\/u\.yaml:10:1 {2}output\.upper is missing\./u,
    );
  });

  it("is the first line for an empty file and for a file that is no group of keys", () => {
    expect(unitFaults("")).toEqual([
      "units/u.yaml:1:1  The file is empty. Start from one of the files in bench-configs.",
    ]);
    expect(unitFaults("# nothing\n")).toHaveLength(1);
    expect(unitFaults("- a\n- b\n")[0]).toMatch(/^units\/u\.yaml:1:1 {2}The file is a list/u);
    expect(unitFaults("just words\n")[0]).toMatch(/^units\/u\.yaml:1:1 {2}The file is "just words"/u);
  });

  it("is the star when one part refers to another, even to none", () => {
    const text = changed(goodUnit, "zero: { clockwise: raises }", "zero: &screw { clockwise: raises }").replace(
      "span: { clockwise: unknown }",
      "span: *screw",
    );
    expect(unitFaults(text)[0]).toMatch(/^units\/u\.yaml:25:9 {2}The text begins with \*/u);
    expect(unitFaults(changed(goodUnit, "model: HC-15", "model: *hc"))[0]).toMatch(/^units\/u\.yaml:4:10 /u);
  });

  it("survives Windows line ends", () => {
    const text = changed(goodUnit, "  upper: 15 psi", "  upper: 15 PSI").replaceAll("\n", "\r\n");
    expect(unitFaults(text)[0]).toMatch(/^units\/u\.yaml:12:10 /u);
  });

  it("never lies outside the text, whatever is typed, and nothing throws", () => {
    const text = fc.oneof(
      fc.string({ maxLength: 80 }),
      fc
        .tuple(fc.nat(goodBench.length), fc.string({ maxLength: 6 }))
        .map(([at, typed]) => goodBench.slice(0, at) + typed + goodBench.slice(at)),
      fc
        .tuple(fc.nat(goodBench.length), fc.nat(12))
        .map(([at, gone]) => goodBench.slice(0, at) + goodBench.slice(at + gone)),
    );
    fc.assert(
      fc.property(text, (typed) => {
        const parsed = parseBenchFile(typed, "b.yaml", knownParts);
        if (parsed.ok) return;
        expect(parsed.fault.length).toBeGreaterThan(0);
        for (const found of parsed.fault) {
          expect(found.line).toBeGreaterThanOrEqual(1);
          expect(found.line).toBeLessThanOrEqual(typed.split("\n").length);
          expect(found.message.length * found.remedy.length).toBeGreaterThan(0);
        }
      }),
      { numRuns: 150 },
    );
  });
});

describe("YAML as it is read", () => {
  it("keeps days and plain words as text", () => {
    const read = readYaml("date: 2026-02-01\nword: yes\noff: off\n", "x.yaml");
    expect(read.ok && read.value.value).toEqual({ date: "2026-02-01", word: "yes", off: "off" });
  });
});
