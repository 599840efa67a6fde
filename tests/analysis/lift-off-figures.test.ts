import { describe, expect, it } from "vitest";
import { analyseStage } from "../../src/analysis/analyse-stage.ts";
import { figure } from "../../src/analysis/analysis.ts";
import { decidePoint } from "../../src/decision/decide-stage.ts";
import { pointsOf, type Taken, unitOf } from "./bench-readings.ts";

const ZERO_BASED = unitOf([4, 20], [0, 500], { mode: "gauge" });

/** A unit whose line lies 0.4 % of span low: 2 kPa, hidden at zero pressure. */
const low: readonly Taken[] = [0, 25, 50, 75, 100].map((x) => ({
  cycle: 1,
  direction: "rising",
  input_mA: 4 + 0.16 * x,
  output_kPa: Math.max(0, 5 * x - 2),
}));

const lift_off = { input_percent: 0.4, u_percent: 0.02 };

const analysedWith = (more: object) => {
  const analysis = analyseStage(pointsOf(ZERO_BASED, low), ZERO_BASED, { stage: "as-found", ...more });
  if (!analysis.ok) throw new Error(analysis.fault.message);
  return analysis.value;
};

describe("zero error by lift-off", () => {
  it("is stated in % of span and in mA: 0.4 % late is -0.4 % and -0.064 mA", () => {
    const analysis = analysedWith({ lift_off });
    expect(figure(analysis, "zero-error-lift-off")?.value).toBeCloseTo(-0.4, 9);
    expect(figure(analysis, "zero-error-lift-off-current")?.value).toBeCloseTo(-0.064, 9);
  });

  it("counts the way of the current: the same for a reversed unit", () => {
    const reversed = unitOf([4, 20], [0, 500], { mode: "gauge", action: "reverse" });
    const points = low.map((p) => ({ ...p, input_mA: 24 - p.input_mA }));
    const analysis = analyseStage(pointsOf(reversed, points), reversed, { stage: "as-found", lift_off });
    if (!analysis.ok) throw new Error(analysis.fault.message);
    expect(figure(analysis.value, "zero-error-lift-off-current")?.value).toBeCloseTo(-0.064, 9);
  });

  it("judges the hidden end, where the reading alone allows no statement", () => {
    const known = { ordinal: 1, U_kPa: 0.3, k: 2, degrees_of_freedom: Number.POSITIVE_INFINITY };
    const judge = (more: object, limit_kPa: number) => {
      const [end] = analysedWith(more).points;
      if (end === undefined) throw new Error("no point");
      return decidePoint(end, known, limit_kPa, { rule: "simple" });
    };
    expect(judge({}, 5).word).toBe("no-statement");
    const told = judge({ lift_off }, 5);
    expect(told).toMatchObject({ word: "pass", error_kPa: expect.closeTo(-2, 9) });
    // U of the reading and of the search: sqrt(0.3^2 + (2 x 0.02 % of 500 kPa)^2).
    expect(told.U_kPa).toBeCloseTo(Math.hypot(0.3, 0.2), 9);
    expect(judge({ lift_off }, 1.5).word).toBe("fail");
  });
});
