import { describe, expect, it } from "vitest";
import { benchFacts } from "../../src/app/bench-facts.ts";
import { parseBenchFile } from "../../src/config/bench-file.ts";
import type { GaugeZero } from "../../src/readings/gauge-zero.ts";
import { contributions } from "../../src/uncertainty/contributions/index.ts";
import { accepted } from "../config/example-files.ts";
import { changed, goodBench } from "../config/good-texts.ts";
import { knownParts } from "../config/known-parts.ts";

const GAUGE = "      resolution: 0.001 kPa\n";
const METER =
  "      certificate: { number: E-1, laboratory: Hillside, date: 2026-03-01, due: 2027-02-28, U: 0.002 mA, k: 2.0 }\n";

const point = {
  ordinal: 1,
  output_kPa: 60,
  applied_mA: 12,
  slope_kPa_per_mA: 5,
  spread_kPa: 0,
  n: 10,
  n_effective: 10,
  u_settling_kPa: 0,
};

/** Standard uncertainties by contribution, kPa, of a bench with something added to it. */
const parts = (
  edits: readonly (readonly [string, string])[],
  step_kPa?: number,
  gauge_zero?: GaugeZero,
): Readonly<Record<string, number>> => {
  const text = edits.reduce((all, [at, more]) => changed(all, at, at + more), goodBench);
  const bench = accepted(parseBenchFile(text, "x.yaml", knownParts));
  const facts = benchFacts(bench, "station-1", {
    highest_kPa: 100,
    ...(step_kPa === undefined ? {} : { step_kPa }),
    ...(gauge_zero === undefined ? {} : { gauge_zero }),
  });
  if (!facts.ok) throw new Error(facts.fault.message);
  return Object.fromEntries(
    contributions.flatMap((leaf) => leaf(facts.value, point) ?? []).map((c) => [c.id, c.u_kPa]),
  );
};

describe("what a bench file says about its references", () => {
  it("holds their certificates and display digits, and nothing that was not written", () => {
    expect(parts([])).toEqual({
      "gauge-certificate": expect.closeTo(0.015, 12),
      "gauge-resolution": expect.closeTo(0.001 / Math.sqrt(12), 12),
      "current-certificate": expect.closeTo(0.005, 12),
    });
  });

  it.each([
    ["drift: { limit: 0.03 kPa, known_from: three certificates }", "gauge-drift", 0.03 / Math.sqrt(3)],
    // 0.01 % of the gauge's own 250 kPa.
    ["drift: { limit: 0.01 %span, known_from: three certificates }", "gauge-drift", 0.025 / Math.sqrt(3)],
    ["drift: { limit: 0.05 %reading, known_from: three certificates }", "gauge-drift", 0.03 / Math.sqrt(3)],
    ["temperature_effect: { per_kelvin: 0.002 kPa, difference: 5 K }", "gauge-temperature", 0.01 / Math.sqrt(3)],
    // A full width, not a half one.
    ["hysteresis: 0.02 kPa", "gauge-hysteresis", 0.01 / Math.sqrt(3)],
    ["position_effect: 0.02 %span", "gauge-mounting", 0.05 / Math.sqrt(3)],
    ["zero_drift: 0.006 kPa", "gauge-zero-drift", 0.006 / Math.sqrt(3)],
  ])("%s", (line, id, u) => {
    const all = parts([[GAUGE, `      ${line}\n`]]);
    expect(all[id]).toBeCloseTo(u, 12);
    expect(Object.keys(all)).toHaveLength(4);
  });

  it("the zero of the gauge as it was read before and after the run, where the file states no larger drift", () => {
    const seen = { before: 0.004, after: -0.002 };
    expect(parts([], undefined, seen)["gauge-zero-drift"]).toBeCloseTo(0.006 / Math.sqrt(12), 12);
    const stated = (limit: string): number =>
      parts([[GAUGE, `      zero_drift: ${limit}\n`]], undefined, seen)["gauge-zero-drift"] ?? Number.NaN;
    expect(stated("0.010 kPa")).toBeCloseTo(0.01 / Math.sqrt(3), 12);
    expect(stated("0.001 kPa")).toBeCloseTo(0.006 / Math.sqrt(12), 12);
    // The same zero at both ends adds nothing.
    expect(parts([], undefined, { before: 0.001, after: 0.001 })["gauge-zero-drift"]).toBeUndefined();
  });

  it("a dial takes the place of the display digit", () => {
    const all = parts([[GAUGE, "      dial: { division: 2 kPa }\n"]]);
    expect(all["dial-reading"]).toBeCloseTo((0.2 * 2) / Math.sqrt(3), 12);
    expect(all).not.toHaveProperty("gauge-resolution");
  });

  it("drift and temperature of the current go through the slope of the unit", () => {
    const all = parts([[METER, "      drift: { limit: 0.01 %reading, known_from: two certificates }\n"]]);
    expect(all["current-drift"]).toBeCloseTo((5 * 0.0012) / Math.sqrt(3), 12);
    const warm = parts([[METER, "      temperature_effect: { per_kelvin: 0.0001 mA, difference: 4 K }\n"]]);
    expect(warm["current-temperature"]).toBeCloseTo((5 * 0.0004) / Math.sqrt(3), 12);
  });

  it("height is a gas column: at 100 kPa gauge and 20 degC the gas is 1.188 kg/m3 denser than the room", () => {
    const all = parts([["    ambient: meter\n", "    height_difference: 30 cm\n"]]);
    // rho = p / (R T) = 1e5 / (287.05 * 293.15); column = rho g h.
    expect(all["head"]).toBeCloseTo(((1e5 / (287.05 * 293.15)) * 9.80665 * 0.3) / 1e3 / Math.sqrt(3), 12);
    expect(parts([["    ambient: meter\n", "    height_difference: 0 m\n"]])).not.toHaveProperty("head");
  });

  it("the unit's own step counts when it is known", () => {
    expect(parts([], 0.02)["unit-step"]).toBeCloseTo(0.01 / Math.sqrt(3), 12);
  });
});
