import { expect, test } from "vitest";
import { figure } from "../../src/analysis/analysis.ts";
import { analysed, pointsOf, unitOf, upAndDown, valueIn } from "../analysis/bench-readings.ts";
import { caseOf, casesOf, off } from "./analysis-case-file.ts";

const FILE = "hysteresis-cases.json";

interface UpDown {
  readonly applied: readonly number[];
  readonly up: readonly number[];
  readonly down: readonly number[];
}

test("every case of the file is used here", () => {
  expect(casesOf(FILE).map((c) => c.id)).toEqual([
    "hyst-ccst-0-30psig",
    "doebelin-hysteresis",
    "course-hysteresis-0-5mV",
    "loadcell-hysteresis",
  ]);
});

// ISA InTech, March 2005: the diagnosis is published, 0.3 psi = 1 % of span is derived.
test("0-30 psig gauge that reads 14.9 rising and 15.2 falling", () => {
  const c = caseOf<
    { lrv: number; urv: number; readings: { direction: string; applied: number; indicated: number }[] },
    { hysteresis_psi: number; hysteresis_percent_of_span: number }
  >(FILE, "hyst-ccst-0-30psig");
  const unit = unitOf([c.inputs.lrv, c.inputs.urv], [c.inputs.lrv, c.inputs.urv]);
  const readings = c.inputs.readings.map((r) => ({
    cycle: 1,
    direction: r.direction === "up" ? ("rising" as const) : ("falling" as const),
    input_mA: r.applied,
    output_kPa: r.indicated,
  }));
  const sum = valueIn(analysed(pointsOf(unit, readings), unit), "hysteresis-plus-dead-band");
  expect(off(sum, c.expected.hysteresis_percent_of_span)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off((sum * 30) / 100, c.expected.hysteresis_psi)).toBeLessThanOrEqual(c.tolerance.abs);
});

// Doebelin, Measurement Systems: published 0.61 kPa at 6 kPa, 6.1 % of the 10 kPa span.
test("Doebelin's 0-10 kPa pressure gauge", () => {
  const c = caseOf<
    UpDown,
    { down_minus_up: number[]; max: number; at_applied: number; percent_of_applied_span: number }
  >(FILE, "doebelin-hysteresis");
  const unit = unitOf([0, 10], [0, 10]);
  const analysis = analysed(upAndDown(unit, c.inputs.applied, c.inputs.up, c.inputs.down), unit);
  const sum = figure(analysis, "hysteresis-plus-dead-band");
  expect(off(sum?.value ?? Number.NaN, c.expected.percent_of_applied_span)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(off(((sum?.value ?? Number.NaN) * 10) / 100, c.expected.max)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(sum?.at_percent).toBe(10 * c.expected.at_applied);
  for (const [i, level] of analysis.levels.entries()) {
    const difference = ((level.falling_percent_span ?? Number.NaN) - (level.rising_percent_span ?? Number.NaN)) / 10;
    expect(off(difference, c.expected.down_minus_up[i])).toBeLessThanOrEqual(c.tolerance.abs);
  }
});

// The course divides by the OBSERVED output span (0.1 to 5.0); figures here divide by the NOMINAL output span and say
// so. Both percentages come from the same 0.2 mV: 4.08 % of what was seen, 4.0 % of what is printed on the plate.
test("course example 0-5 mV: the denominator of percent", () => {
  const c = caseOf<
    UpDown,
    { max_abs: number; at_applied: number; percent_of_output_span: number },
    { percent_of_output_span: number; default: number }
  >(FILE, "course-hysteresis-0-5mV");
  const unit = unitOf([0, 5], [0, 5]);
  const analysis = analysed(upAndDown(unit, c.inputs.applied, c.inputs.up, c.inputs.down), unit);
  const sum = figure(analysis, "hysteresis-plus-dead-band");
  const inUnits = ((sum?.value ?? Number.NaN) * 5) / 100;
  expect(off(inUnits, c.expected.max_abs)).toBeLessThanOrEqual(c.tolerance.default);
  expect(off(sum?.value ?? Number.NaN, 4)).toBeLessThanOrEqual(1e-9);
  expect(sum?.definition).toContain("nominal output span");
  expect(off(sum?.at_percent ?? Number.NaN, 20 * c.expected.at_applied)).toBeLessThanOrEqual(1e-9);
  const seen = analysis.points.map((p) => p.output_kPa);
  const observedSpan = Math.max(...seen) - Math.min(...seen);
  expect(off((100 * inUnits) / observedSpan, c.expected.percent_of_output_span)).toBeLessThanOrEqual(
    c.tolerance.percent_of_output_span,
  );
});

// curvefit library test data (github.com/jchristopherson/curvefit): 0.0911 load units by its own gain.
test("load cell 0-500: hysteresis in units of the load", () => {
  const c = caseOf<
    { applied: number[]; output: number[]; applied_full_scale: number; gain: number },
    { hysteresis: number }
  >(FILE, "loadcell-hysteresis");
  const { applied, output, gain } = c.inputs;
  const unit = unitOf([0, 500], [0, 500]);
  const readings = applied.map((input_mA, i) => ({
    cycle: 1,
    direction: i < 6 ? ("rising" as const) : ("falling" as const),
    input_mA,
    output_kPa: gain * (output[i] ?? Number.NaN),
  }));
  const sum = figure(analysed(pointsOf(unit, readings), unit), "hysteresis-plus-dead-band");
  expect(off(((sum?.value ?? Number.NaN) * 500) / 100, c.expected.hysteresis)).toBeLessThanOrEqual(c.tolerance.abs);
  expect(sum?.at_percent).toBe(40);
});
