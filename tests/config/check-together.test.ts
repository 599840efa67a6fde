import { describe, expect, it } from "vitest";
import type { BenchFile } from "../../src/config/bench-file.schema.ts";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import { checkTogether } from "../../src/config/check-together.ts";
import { faultOfFiles, fileFaultText } from "../../src/config/file-fault.ts";
import type { UnitFile } from "../../src/config/unit-file.schema.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import { accepted } from "./example-files.ts";
import { changed, goodBench, goodUnit, lineOf } from "./good-texts.ts";
import { knownParts } from "./known-parts.ts";

const bench = (text: string): BenchFile => accepted(parseBenchFile(text, "bench.yaml", knownParts));
const unit = (text: string): UnitFile => accepted(parseUnitFile(text, "unit.yaml"));

type Edit = readonly [part: string, into: string];
const edited = (text: string, edits: readonly Edit[]): string =>
  edits.reduce((now, [part, into]) => changed(now, part, into), text);

interface Row {
  readonly id: string;
  readonly bench?: readonly Edit[];
  readonly unit?: readonly Edit[];
  readonly station?: string;
  readonly today?: string;
  readonly at: readonly ["bench" | "unit", string];
  readonly says: string;
  readonly remedy: string;
}

const wideRange: Edit = ["  upper: 15 psi", "  upper: 33 psi"];
const wideSupply: Edit = [
  "  nominal: 20 psi\n  lower: 18 psi\n  upper: 24 psi",
  "  nominal: 40 psi\n  lower: 36 psi\n  upper: 44 psi",
];

const rows: readonly Row[] = [
  {
    id: "reference overdue by a day",
    today: "2027-02-01",
    at: ["bench", "2027-01-31"],
    says: "ran out on 2027-01-31",
    remedy: "in date",
  },
  {
    id: "current reference overdue",
    bench: [["due: 2027-01-31", "due: 2028-01-31"]],
    today: "2027-03-01",
    at: ["bench", "2027-02-28"],
    says: "current calibration of meter",
    remedy: "in date",
  },
  {
    id: "certificate from the future",
    bench: [["date: 2026-02-01", "date: 2026-12-01"]],
    at: ["bench", "2026-12-01"],
    says: "after today",
    remedy: "clock",
  },
  {
    id: "no such station",
    station: "station-2",
    at: ["bench", "stations:"],
    says: "no station station-2",
    remedy: "Did you mean station-1?",
  },
  {
    id: "gauge begins too high",
    bench: [["      lower: 0 kPa", "      lower: 50 kPa"]],
    at: ["bench", "pressure:\n      lower: 50"],
    says: "covers 50 kPa to 250 kPa",
    remedy: "whole output range",
  },
  {
    id: "output above the limit",
    bench: [["pressure: 240 kPa", "pressure: 100 kPa"]],
    at: ["unit", "15 psi"],
    says: "at most 100 kPa",
    remedy: "built for this pressure",
  },
  {
    id: "limit above the rating",
    unit: [["rated_maximum: 50 psi", "rated_maximum: 30 psi"]],
    at: ["bench", "240 kPa"],
    says: "rated for 30 psi",
    remedy: "30 psi or less",
  },
  {
    id: "absolute unit at a gauge",
    unit: [["mode: gauge", "mode: absolute"]],
    at: ["unit", "mode: absolute"],
    says: "gauge measures gauge pressure",
    remedy: "absolute gauge",
  },
  {
    id: "current above the limit",
    bench: [["    upper: 22 mA", "    upper: 18 mA"]],
    at: ["unit", "input:"],
    says: "allows 0.00 mA to 18 mA",
    remedy: "allows these currents",
  },
  {
    id: "current below the limit",
    bench: [["    lower: 0.00 mA", "    lower: 5 mA"]],
    at: ["unit", "input:"],
    says: "allows 5 mA to 22 mA",
    remedy: "allows these currents",
  },
  {
    id: "current below the source",
    bench: [["current: { lower: 0 mA", "current: { lower: 4.5 mA"]],
    at: ["unit", "input:"],
    says: "loop-source drives 4.5 mA",
    remedy: "whole input range",
  },
  {
    id: "current above the meter",
    bench: [["upper: 25 mA", "upper: 19 mA"]],
    at: ["bench", "current:\n      lower: 0.0 mA"],
    says: "meter covers 0.0 mA to 19 mA",
    remedy: "current meter covers",
  },
  {
    id: "safe current below the limit",
    bench: [["    lower: 0.00 mA", "    lower: 4 mA"]],
    unit: [["safe_current: 4.0 mA", "safe_current: 0 mA"]],
    at: ["unit", "safe_current"],
    says: "left at 0 mA",
    remedy: "leave safe_current out",
  },
  {
    id: "supply above its gauge",
    bench: [["upper: 10 bar", "upper: 1 bar"]],
    at: ["bench", "pressure: { lower: 0 bar"],
    says: "supply may reach 24 psi",
    remedy: "supply gauge",
  },
  {
    id: "10-50 mA at a 4-20 mA bench",
    unit: [
      ["  lower: 4 mA\n  upper: 20 mA", "  lower: 10 mA\n  upper: 50 mA"],
      ["safe_current: 4.0 mA\n", ""],
    ],
    at: ["unit", "input:"],
    says: "takes 10-50 mA",
    remedy: "allows these currents",
  },
];

describe("bench and unit together", () => {
  it("fit when nothing is wrong", () => {
    expect(checkTogether(bench(goodBench), unit(goodUnit), "station-1", "2026-11-25")).toEqual([]);
  });

  it("fit on the day of calibration and on the last day", () => {
    const text = edited(goodBench, [
      ["date: 2026-03-01", "date: 2026-02-01 "],
      ["due: 2027-02-28", "due: 2027-01-31 "],
    ]);
    for (const today of ["2026-02-01", "2027-01-31"])
      expect(checkTogether(bench(text), unit(goodUnit), "station-1", today)).toEqual([]);
  });

  it.each(rows)("$id", (row) => {
    const texts = { bench: edited(goodBench, row.bench ?? []), unit: edited(goodUnit, row.unit ?? []) };
    const faults = checkTogether(
      bench(texts.bench),
      unit(texts.unit),
      row.station ?? "station-1",
      row.today ?? "2026-11-25",
    );
    expect(faults.map(fileFaultText)).toHaveLength(1);
    const [found] = faults;
    expect(found?.file).toBe(`${row.at[0]}.yaml`);
    expect(found?.line).toBe(lineOf(texts[row.at[0]], row.at[1]));
    expect(found?.message).toContain(row.says);
    expect(found?.remedy).toContain(row.remedy);
  });

  it("shows independent faults all at once, in the order of the files", () => {
    const faults = checkTogether(
      bench(goodBench),
      unit(edited(goodUnit, [wideRange, wideSupply])),
      "station-1",
      "2029-01-01",
    );
    expect(faults.map((each) => [each.file, each.code])).toEqual([
      ["bench.yaml", "out-of-date"],
      ["bench.yaml", "out-of-date"],
    ]);
    const fault = faultOfFiles(faults);
    expect(fault.code).toBe("bad-file");
    expect(fault.message.split("\n")).toHaveLength(2);
  });

  it("speaks of benches that came from no text without a wrong place", () => {
    const { source: _place, ...placeless } = bench(goodBench);
    const [found] = checkTogether(placeless, unit(goodUnit), "station-9", "2026-11-25");
    expect(found).toMatchObject({ file: "bench file", line: 1, column: 1 });
  });
});
