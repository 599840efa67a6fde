import { describe, expect, it } from "vitest";
import { adjustmentOutlook } from "../../src/adjust/adjustment-outlook.ts";
import { createGuide } from "../../src/adjust/guide-at-stop.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import { analysed, PLAIN, pointsOf, TENTHS } from "../analysis/bench-readings.ts";
import { adjustUnit } from "./two-screw-unit.ts";

const PLACE = { at_percent: { lower: 0, upper: 100 }, span_kPa: 80 };
const LIMIT = 0.4;

/** A straight unit that is `lower` and `upper` off at its ends, kPa, and what the guide for it does. */
const guideFor = (lower: number, upper: number) => {
  const inputs = [...TENTHS, ...TENTHS.toReversed()];
  const taken = inputs.map((x, i) => ({
    cycle: 1,
    direction: i < TENTHS.length ? ("rising" as const) : ("falling" as const),
    input_mA: 4 + 0.16 * x,
    output_kPa: 20 + 0.8 * x + lower + (x / 100) * (upper - lower),
  }));
  const outlook = adjustmentOutlook(analysed(pointsOf(PLAIN, taken), PLAIN), {
    at_percent: PLACE.at_percent,
    ideal_kPa: { lower: kPa(20), upper: kPa(100) },
    limitAt: () => LIMIT,
  });
  if (outlook === null) throw new Error("no outlook");
  return createGuide(outlook, PLACE);
};

const adjusted = (lower: number, upper: number, span: number, zeroAbove = 0.9) =>
  adjustUnit(
    { lower: 20 + lower, upper: 100 + upper, zeroAbove, spanBelow: 0.2, travel: { span } },
    guideFor(lower, upper),
  );

describe("createGuide", () => {
  it("is the plain guide while both screws do what is asked", () => {
    const result = adjusted(0.8, -0.9, 10);
    expect(result.end.kind).toBe("done");
    expect(Math.abs(result.lower - 20)).toBeLessThan(0.1);
    expect(Math.abs(result.upper - 100)).toBeLessThan(0.1);
  });

  it("goes on with the other screw when one meets its stop, and spreads what is left over the range", () => {
    // Both ends 0.3 high once span has done what it can: zero alone brings that to a tenth.
    const result = adjusted(0.5, 1.1, 0.4);
    expect(result.end.kind).toBe("done");
    expect(result.end.why).toMatch(
      /span is at its stop or does nothing; the best that zero alone leaves is 0\.\d\d % of span/u,
    );
    expect(Math.max(Math.abs(result.lower - 20), Math.abs(result.upper - 100))).toBeLessThan(LIMIT);
    // No straight shift by zero alone does better: both ends are off alike, in opposite ways.
    expect(Math.abs(result.lower - 20 + (result.upper - 100))).toBeLessThan(0.12);
  });

  it("says it once, with the turn that showed it", () => {
    const next = guideFor(0.5, 1.1);
    const said: string[] = [];
    adjustUnit({ lower: 20.5, upper: 101.1, zeroAbove: 0.9, spanBelow: 0.2, travel: { span: 0.4 } }, (seen) => {
      const move = next(seen);
      if (move.kind === "turn" && move.noticed !== undefined) said.push(move.noticed);
      return move;
    });
    expect(said.filter((s) => s.includes("at its stop"))).toHaveLength(1);
  });

  it("gives up with the figure where one screw cannot bring the unit within its tolerance", () => {
    const result = adjusted(-0.5, 2.5, 0.3);
    expect(result.end.kind).toBe("impossible");
    expect(result.end.why).toMatch(/the best that zero alone leaves is 1\.\d\d % of span, tolerance 0\.50 % of span/u);
  });
});
