import { describe, expect, it } from "vitest";
import { adjustmentPoints } from "../../src/plan/adjustment-points.ts";
import { makePlan } from "../../src/plan/make-plan.ts";
import { planText } from "../../src/plan/plan-text.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import type { Transfer } from "../../src/vocabulary/signal-range.ts";
import { kegLimits, kegLine } from "./units.ts";

const from = (lower: number, mode: Transfer["output"]["mode"] = "gauge"): Transfer => ({
  ...kegLine,
  output: { ...kegLine.output, lower_kPa: kPa(lower), upper_kPa: kPa(lower + 80), mode },
});

describe("where the screws are turned", () => {
  it("is at both ends, where zero pressure hides nothing", () => {
    expect(adjustmentPoints(from(20))).toEqual({ lower_percent: 0, upper_percent: 100 });
    expect(adjustmentPoints(from(0, "absolute"))).toEqual({ lower_percent: 0, upper_percent: 100 });
  });

  it("is by lift-off where the range begins at zero pressure", () => {
    expect(adjustmentPoints(from(0))).toEqual({ lower_percent: 0, upper_percent: 100, zero_by: "lift-off" });
  });

  it("is a little higher where a zero error of some per cent could hide, and no lift-off would be inside the loop", () => {
    expect(adjustmentPoints(from(2))).toEqual({ lower_percent: 10, upper_percent: 100 });
  });

  it("is said in the plan before anything is opened", () => {
    const plan = makePlan(from(0), kegLimits, { points: 3 });
    if (!plan.ok) throw new Error(plan.fault.message);
    expect(planText(plan.value, from(0))).toMatch(/zero by lift-off at 0 %, span at 100 %/u);
    expect(planText(plan.value, from(0))).toMatch(/After the points its lift-off is looked for/u);
  });
});
