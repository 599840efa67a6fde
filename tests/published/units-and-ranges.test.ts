import { describe, expect, it } from "vitest";
import cases from "../../src/app/self-test/cases/units-and-ranges.json" with { type: "json" };
import { unitCases } from "../../src/app/self-test/units.ts";
import { parseUnitFile } from "../../src/config/unit-file.ts";
import { toleranceAt, transferOf } from "../../src/config/unit-values.ts";
import { loopSignalBand } from "../../src/vocabulary/loop-signal-band.ts";
import {
  fromKilopascal,
  PRESSURE_UNITS,
  type PressureUnit,
  toKilopascal,
} from "../../src/vocabulary/pressure-units.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import { parseQuantityOf } from "../../src/vocabulary/quantity-text.ts";
import { type Characteristic, idealOutput, spanOf, type Transfer } from "../../src/vocabulary/signal-range.ts";
import { accepted, exampleText } from "../config/example-files.ts";
import { changed } from "../config/good-texts.ts";

/**
 * Units and ranges against published figures. The source of each stands beside it in the data; `status` says whether
 * the figure itself is printed there, derived from what is printed, or from memory. Only the printed ones are outside
 * evidence; the derived ones are a second computation.
 */

/** The law of a case, whatever its units: the numbers go in as if they were mA and kPa. */
const law = (input: readonly number[], output: readonly number[], characteristic = "linear"): Transfer => ({
  input: { lower_mA: mA(input[0] ?? 0), upper_mA: mA(input[1] ?? 0) },
  output: { lower_kPa: kPa(output[0] ?? 0), upper_kPa: kPa(output[1] ?? 0), unit: "kPa", mode: "gauge" },
  action: "direct",
  characteristic: characteristic as Characteristic,
});

const near = (got: number, wanted: number, tolerance: number): void => {
  expect(Math.abs(got - wanted), `${got} is not ${wanted} within ${tolerance}`).toBeLessThanOrEqual(tolerance);
};

/** Scaling, span errors and factors are worked out by the self-test itself; here each of its figures has to agree. */
describe("scaling, span errors and units as the self-test works them out", () => {
  const results = unitCases();

  it("leaves out none of the cases", () => {
    const { scaling, span_error, factors, exact_psi, psi_to_kpa, water_20_degc } = cases;
    const ids = [scaling, span_error, factors, exact_psi, psi_to_kpa, water_20_degc].flat().map((each) => each.id);
    expect(results.map((r) => r.id)).toEqual(ids);
  });

  it.each(results.map((r) => [r.id, r] as const))("%s", (_, { checks }) => {
    expect(checks.length).toBeGreaterThan(0);
    expect(checks.filter((c) => !c.passed)).toEqual([]);
  });
});

describe("tolerance", () => {
  it.each(cases.tolerance)("$id ($status)", (each) => {
    // The case is a transmitter of 0-200 inH2O; its output side is what a converter has.
    const unit = accepted(
      parseUnitFile(changed(exampleText("ip-3-15-psi.yaml"), "0.5 %span", each.tolerance_text), "u.yaml"),
    );
    const transfer = law(each.input_range, each.output_range);
    each.input.forEach((input, index) => {
      const ideal = idealOutput(transfer, mA(input));
      near(ideal, each.ideal[index] ?? Number.NaN, each.tolerance);
      const limit = fromKilopascal(toleranceAt(unit, toKilopascal(ideal, "psi")), "psi");
      near(ideal - limit, each.low[index] ?? Number.NaN, each.tolerance);
      near(ideal + limit, each.high[index] ?? Number.NaN, each.tolerance);
    });
  });

  it.each(cases.gauge_class)("$id ($status): the class is the largest error in % of span", (each) => {
    const end = (text: string) => {
      const parsed = parseQuantityOf("pressure", text);
      if (!parsed.ok) throw new Error(parsed.fault.message);
      return parsed.value.kPa;
    };
    const limit = parseQuantityOf("percent-of-span", `${each.accuracy_class} %span`);
    if (!limit.ok) throw new Error(limit.fault.message);
    const span = spanOf({ lower_kPa: end(each.lower), upper_kPa: end(each.upper), unit: "bar", mode: "gauge" });
    near(fromKilopascal(kPa((limit.value.percent / 100) * span), "bar"), each.largest_error_bar, each.tolerance);
  });
});

describe("pressure units", () => {
  it.each(cases.factors)(
    "$id: the inch of mercury printed for 32 degF is another, 2.6e-6 smaller",
    ({ other_definition: other }) => {
      const ours = PRESSURE_UNITS[other.unit as PressureUnit].pascal;
      near((ours - other.pascal) / other.pascal, other.relative_difference, other.tolerance);
    },
  );

  it.each(cases.exact_psi)("$id ($status)", (each) => {
    const psi = PRESSURE_UNITS.psi.pascal;
    near(PRESSURE_UNITS.bar.pascal / psi, each.bar_in_psi, each.relative_tolerance * each.bar_in_psi);
    near(PRESSURE_UNITS.atm.pascal / psi, each.atm_in_psi, each.relative_tolerance * each.atm_in_psi);
  });

  it.each(cases.psi_to_kpa)("$id ($status): 3-15 psi is not 20-100 kPa", (each) => {
    const unit = accepted(parseUnitFile(exampleText("ip-3-15-psi.yaml"), "u.yaml"));
    near(spanOf(transferOf(unit).output), each.span_kPa, each.tolerance);
    const other = accepted(parseUnitFile(exampleText("ip-20-100-kpa.yaml"), "u.yaml"));
    near(spanOf(transferOf(other).output), 80, 1e-12);
  });
});

describe("signals", () => {
  it.each(cases.signal_bands)("$id ($status)", (each) => {
    for (const { current_mA, band } of each.rows) expect(loopSignalBand(mA(current_mA)), `${current_mA} mA`).toBe(band);
  });

  it("has the bands of NE 43 in order, with its edges (inclusive edges from memory)", () => {
    const edges = [3.6, 3.65, 3.8, 4, 20, 20.5, 20.75, 21].map((current) => loopSignalBand(mA(current)));
    expect(edges).toEqual([
      "failure-low",
      "undefined-low",
      "valid-saturation-low",
      "valid",
      "valid",
      "valid-saturation-high",
      "undefined-high",
      "failure-high",
    ]);
  });

  it.each(cases.supply)("$id ($status): the example unit has the supply of the standard", (each) => {
    const unit = accepted(parseUnitFile(exampleText("ip-20-100-kpa.yaml"), "u.yaml"));
    expect([unit.output.lower.kPa, unit.output.upper.kPa]).toEqual(each.signal_kPa);
    expect(unit.supply.nominal.kPa).toBe(each.nominal_kPa);
    expect([unit.supply.lower.kPa, unit.supply.upper.kPa]).toEqual(each.limits_kPa);
  });
});
