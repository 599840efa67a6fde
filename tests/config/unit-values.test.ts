import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { UnitFile } from "../../src/config/unit-file.schema.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import { safeCurrentOf, toleranceAt, transferOf, ventCurrentOf } from "../../src/config/unit-values.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import { idealOutput, inputFor } from "../../src/vocabulary/signal-range.ts";
import { accepted, exampleText } from "./example-files.ts";
import { changed, goodUnit } from "./good-texts.ts";

const unit = (text: string): UnitFile => accepted(parseUnitFile(text, "u.yaml"));
const example = (name: string): UnitFile => unit(exampleText(name));
const withTolerance = (tolerance: string): UnitFile => unit(changed(goodUnit, "0.5 %span", tolerance));
const PSI_KPA = 6.894757293168361; // NIST SP 811

describe("transferOf", () => {
  it("gives the range in internal units and keeps the owner's unit and mode", () => {
    const transfer = transferOf(example("ip-3-15-psi.yaml"));
    expect(transfer.input).toEqual({ lower_mA: 4, upper_mA: 20 });
    expect(transfer.output.lower_kPa).toBeCloseTo(3 * PSI_KPA, 12);
    expect(transfer.output.upper_kPa).toBeCloseTo(15 * PSI_KPA, 12);
    expect(transfer.output).toMatchObject({ unit: "psi", mode: "gauge" });
  });

  it("holds 3-15 psi and 20-100 kPa apart", () => {
    const psi = transferOf(example("ip-3-15-psi.yaml")).output;
    const pascal = transferOf(example("ip-20-100-kpa.yaml")).output;
    expect((psi.upper_kPa - psi.lower_kPa) / (pascal.upper_kPa - pascal.lower_kPa)).toBeCloseTo(1.0342136, 7);
  });
});

describe("toleranceAt", () => {
  it("is the same everywhere for %span and for a pressure", () => {
    for (const ideal of [0, 20, 90].map(kPa)) {
      expect(toleranceAt(unit(goodUnit), ideal)).toBeCloseTo(0.005 * 12 * PSI_KPA, 12);
      expect(toleranceAt(withTolerance("0.05 psi"), ideal)).toBeCloseTo(0.05 * PSI_KPA, 12);
    }
  });

  it("follows the size of the reading for %reading", () => {
    expect(toleranceAt(withTolerance("0.2 %reading"), kPa(50))).toBeCloseTo(0.1, 12);
    expect(toleranceAt(withTolerance("0.2 %reading"), kPa(-50))).toBeCloseTo(0.1, 12);
  });
});

describe("safeCurrentOf", () => {
  it.each([
    ["ip-3-15-psi.yaml", 4],
    ["ip-20-100-kpa.yaml", 4],
    ["ip-split-low.yaml", 4],
    ["ip-reverse.yaml", 20],
  ])("%s is left at %d mA, the end with the lower pressure", (name, current) => {
    expect(safeCurrentOf(example(name))).toBe(current);
  });

  it("is what the file states", () => {
    expect(safeCurrentOf(unit(changed(goodUnit, "safe_current: 4.0 mA", "safe_current: 3.8 mA")))).toBe(3.8);
  });

  it("always has the lowest pressure of the range", () => {
    fc.assert(
      fc.property(
        fc.constantFrom("direct", "reverse"),
        fc.constantFrom("linear", "square-root"),
        fc.integer({ min: 0, max: 20 }),
        fc.integer({ min: 1, max: 30 }),
        (action, characteristic, lower, span) => {
          const text = [
            ["action: direct", `action: ${action}`],
            ["characteristic: linear", `characteristic: ${characteristic}`],
            ["  lower: 4 mA\n  upper: 20 mA", `  lower: ${lower} mA\n  upper: ${lower + span} mA`],
            ["safe_current: 4.0 mA\n", ""],
          ].reduce((now, [part = "", into = ""]) => changed(now, part, into), goodUnit);
          const made = unit(text);
          expect(idealOutput(transferOf(made), safeCurrentOf(made))).toBeCloseTo(3 * PSI_KPA, 9);
        },
      ),
    );
  });
});

describe("ventCurrentOf", () => {
  it.each([
    ["ip-3-15-psi.yaml", 0],
    ["ip-20-100-kpa.yaml", 0],
    ["ip-0-75-psi.yaml", 0],
    ["ip-split-low.yaml", 0],
    ["ip-reverse.yaml", null],
  ])("%s: %s", (name, current) => {
    expect(ventCurrentOf(example(name))).toBe(current);
  });

  it("is null for a root, which stays at its foot, and for an output that is not gauge", () => {
    expect(ventCurrentOf(unit(changed(goodUnit, "characteristic: linear", "characteristic: square-root")))).toBeNull();
    expect(ventCurrentOf(unit(changed(goodUnit, "mode: gauge", "mode: absolute")))).toBeNull();
  });

  it("is null when pressure remains at 0 mA", () => {
    const shifted = changed(goodUnit, "  lower: 4 mA\n  upper: 20 mA", "  lower: 0 mA\n  upper: 20 mA");
    expect(ventCurrentOf(unit(changed(shifted, "safe_current: 4.0 mA", "safe_current: 0 mA")))).toBeNull();
  });

  it("has an ideal output at or below zero when there is one", () => {
    const transfer = transferOf(example("ip-20-100-kpa.yaml"));
    expect(inputFor(transfer, -25 as never)).toBeCloseTo(0, 12);
  });
});
