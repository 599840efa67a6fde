import { describe, expect, it } from "vitest";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { checkTogether } from "../../src/config/check-together.ts";
import { fileFaultText } from "../../src/config/file-fault.ts";
import { parseLaboratoryFile } from "../../src/config/laboratory-file.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import { accepted, exampleNames, exampleText } from "./example-files.ts";
import { knownParts } from "./known-parts.ts";

const formatOf = (text: string): string => /^format: (\S+)/mu.exec(text)?.[1] ?? "";
const ofKind = (kind: string) => exampleNames.filter((name) => formatOf(exampleText(name)) === kind);
const benches = ofKind("stillpoint-bench");
const units = ofKind("stillpoint-unit");

describe("the files in bench-configs", () => {
  it("are all of a known kind", () => {
    expect(exampleNames.length).toBeGreaterThanOrEqual(10);
    for (const name of exampleNames)
      expect(formatOf(exampleText(name)), name).toMatch(/^stillpoint-(bench|unit|laboratory)$/);
  });

  it.each(benches)("%s is a valid bench with a station-1", (name) => {
    const bench = accepted(parseBenchFile(exampleText(name), name, knownParts));
    expect(Object.keys(bench.stations)).toContain("station-1");
    expect(name.startsWith("simulated-")).toBe(bench.simulation !== undefined);
  });

  it.each(units)("%s is a valid unit", (name) => {
    accepted(parseUnitFile(exampleText(name), name));
  });

  it.each(ofKind("stillpoint-laboratory"))("%s is a valid laboratory", (name) => {
    accepted(parseLaboratoryFile(exampleText(name), name));
  });

  const pairs = benches
    .filter((name) => name.startsWith("simulated-"))
    .flatMap((bench) => units.map((unit) => [bench, unit] as const));
  it.each(pairs)("%s can test %s", (bench, unit) => {
    const faults = checkTogether(
      accepted(parseBenchFile(exampleText(bench), bench, knownParts)),
      accepted(parseUnitFile(exampleText(unit), unit)),
      "station-1",
      "2026-11-25",
    );
    expect(faults.map(fileFaultText)).toEqual([]);
  });
});
