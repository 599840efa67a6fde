import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  fromKilopascal,
  isPressureUnit,
  PRESSURE_UNITS,
  pressureText,
  pressureUnitNames,
  toKilopascal,
} from "../../src/vocabulary/pressure-units.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";

const unit = fc.constantFrom(...pressureUnitNames);
const value = fc.double({ min: -1e5, max: 1e5, noNaN: true });

describe("pressure units", () => {
  it("come back from kPa as they went", () => {
    fc.assert(
      fc.property(value, unit, (written, name) => {
        expect(fromKilopascal(toKilopascal(written, name), name)).toBeCloseTo(written, 8);
      }),
    );
  });

  it("keep ratios: a change of unit scales every pressure by one factor", () => {
    fc.assert(
      fc.property(value, unit, unit, (written, from, to) => {
        const factor = PRESSURE_UNITS[from].pascal / PRESSURE_UNITS[to].pascal;
        const changed = fromKilopascal(toKilopascal(written, from), to);
        expect(Math.abs(changed - written * factor)).toBeLessThanOrEqual(1e-12 * Math.abs(written * factor) + 1e-12);
      }),
    );
  });

  it("leave kPa untouched to the last bit", () => {
    expect(toKilopascal(0.1 + 0.2, "kPa")).toBe(0.1 + 0.2);
  });

  it("have no water or mercury column without its condition", () => {
    for (const bare of ["inH2O", "mmH2O", "mmHg", "inHg"]) expect(isPressureUnit(bare)).toBe(false);
    for (const name of pressureUnitNames.filter((each) => /H2O|Hg/u.test(each))) expect(name).toMatch(/\(.+\)$/u);
  });

  it("order the water columns by density, 0.1 % apart from 4 degC to 60 degF", () => {
    const factors = (["inH2O(conventional)", "inH2O(4degC)", "inH2O(60degF)", "inH2O(20degC)"] as const).map(
      (name) => PRESSURE_UNITS[name].pascal,
    );
    expect(factors).toEqual(factors.toSorted((a, b) => b - a));
  });

  it("are written with seven digits in messages", () => {
    expect(pressureText(toKilopascal(3, "psi"), "psi")).toBe("3 psi");
    expect(pressureText(toKilopascal(3, "psi"), "kPa")).toBe("20.68427 kPa");
    expect(pressureText(kPa(0), "bar")).toBe("0 bar");
  });
});
