import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createAdjuster } from "../../src/adjust/create-adjuster.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import { adjustUnit, type TwoScrews } from "./two-screw-unit.ts";

/** 20 to 100 kPa with 0.5 % of span allowed: 0.4 kPa, aim 0.1 kPa. */
const aims = { wanted_kPa: { lower: kPa(20), upper: kPa(100) }, tolerance_kPa: kPa(0.4) };
const AIM = 0.1;
const adjust = (unit: TwoScrews) => adjustUnit(unit, createAdjuster(aims));
const turns = (result: ReturnType<typeof adjust>) => result.seen.filter((s) => s.kind === "turn");

/** Small, repeatable random numbers from -1 to 1 (Park and Miller 1988, multiplier 48271). */
const drawFrom = (seed: number) => {
  let state = (seed % 2147483646) + 1;
  return () => {
    state = (state * 48271) % 2147483647;
    return (2 * state) / 2147483647 - 1;
  };
};

const units = fc.record({
  lower: fc.double({ min: 16, max: 24, noNaN: true }),
  upper: fc.double({ min: 94, max: 106, noNaN: true }),
  zeroAbove: fc.double({ min: 0.7, max: 1.3, noNaN: true }),
  spanBelow: fc.double({ min: -0.3, max: 0.85, noNaN: true }),
});

describe("createAdjuster", () => {
  it("leaves a unit alone that is within its aim", () => {
    const result = adjust({ lower: 20.05, upper: 99.95, zeroAbove: 1, spanBelow: 0 });
    expect(result.end).toMatchObject({ kind: "done", rounds: 0 });
    expect(turns(result)).toEqual([]);
  });

  it("mends a unit whose span screw leaves the low end alone with one turn of each", () => {
    const result = adjust({ lower: 21, upper: 103, zeroAbove: 1, spanBelow: 0 });
    expect(turns(result).map((t) => [t.screw, t.target_kPa])).toEqual([
      ["zero", 20],
      ["span", 100],
    ]);
    expect(result.end).toMatchObject({ kind: "done", rounds: 1 });
  });

  it("foresees the other screw once it has seen what that does", () => {
    const result = adjust({ lower: 21, upper: 103, zeroAbove: 1, spanBelow: 0.5 });
    const [first, second, third] = turns(result);
    expect(first).toMatchObject({ screw: "zero", target_kPa: 20 });
    expect(second).toMatchObject({ screw: "span", target_kPa: 100 });
    // Span moved by -2 and took the low end to 19. Both right needs zero +2 and span -2: zero is set to 21.
    expect(third).toMatchObject({ screw: "zero" });
    expect(third?.target_kPa).toBeCloseTo(21, 9);
    expect(result.end).toMatchObject({ kind: "done", rounds: 2 });
  });

  it("gets every unit of the family within its aim, and is never content with one that is not", () => {
    let most = 0;
    fc.assert(
      fc.property(units, (unit) => {
        fc.pre(Math.abs(1 - unit.zeroAbove * unit.spanBelow) > 0.1);
        const result = adjust(unit);
        expect(result.end.kind).toBe("done");
        expect(Math.abs(result.lower - 20)).toBeLessThanOrEqual(AIM);
        expect(Math.abs(result.upper - 100)).toBeLessThanOrEqual(AIM);
        most = Math.max(most, result.end.rounds);
      }),
      { numRuns: 500 },
    );
    expect(most).toBeLessThanOrEqual(4);
  });

  it("does so with noisy readings and an unsteady hand", () => {
    fc.assert(
      fc.property(units, fc.integer({ min: 0, max: 1e6 }), (unit, seed) => {
        fc.pre(Math.abs(1 - unit.zeroAbove * unit.spanBelow) > 0.25);
        const noise = 0.01;
        const result = adjust({ ...unit, noise, miss: AIM / 4, draw: drawFrom(seed) });
        expect(result.end.kind).toBe("done");
        expect(Math.abs(result.lower - 20)).toBeLessThanOrEqual(AIM + noise);
        expect(Math.abs(result.upper - 100)).toBeLessThanOrEqual(AIM + noise);
        expect(result.end.rounds).toBeLessThanOrEqual(6);
      }),
      { numRuns: 500 },
    );
  });

  it("says that a screw without effect is locked, at its stop or the wrong one", () => {
    const result = adjust({ lower: 22, upper: 100, zeroAbove: 1, spanBelow: 0, travel: { zero: 0 } });
    expect(result.end).toMatchObject({ kind: "impossible" });
    expect(result.end.why).toContain("turning zero twice moved nothing");
  });

  it("says that a screw stops short", () => {
    const result = adjust({ lower: 20, upper: 106, zeroAbove: 1, spanBelow: 0, travel: { span: 3 } });
    expect(result.end.kind).toBe("impossible");
    expect(result.end.why).toContain("span stops 3.000 kPa short");
  });

  it("says that two screws which do the same cannot mend both ends", () => {
    const result = adjust({ lower: 21, upper: 104, zeroAbove: 1.25, spanBelow: 0.8 });
    expect(result.end).toMatchObject({ kind: "impossible" });
    expect(result.end.why).toContain("both screws do the same");
  });

  it("mends a unit whose low end is hidden at zero pressure, without learning from what it cannot see", () => {
    const next = createAdjuster({ ...aims, wanted_kPa: { lower: kPa(5), upper: kPa(100) }, floor_kPa: kPa(0) });
    const result = adjustUnit({ lower: -3, upper: 97, zeroAbove: 1.1, spanBelow: 0.4, floor: 0 }, next);
    expect(result.end.kind).toBe("done");
    expect(Math.abs(result.lower - 5)).toBeLessThanOrEqual(AIM);
    expect(Math.abs(result.upper - 100)).toBeLessThanOrEqual(AIM);
    expect(result.end.rounds).toBeLessThanOrEqual(3);
  });

  it("never asks for an output below what can be seen", () => {
    const next = createAdjuster({ ...aims, wanted_kPa: { lower: kPa(0), upper: kPa(100) }, floor_kPa: kPa(0) });
    const result = adjustUnit({ lower: 3, upper: 97, zeroAbove: 1, spanBelow: -0.3 }, next);
    for (const turn of turns(result)) expect(turn.target_kPa).toBeGreaterThanOrEqual(0);
  });

  it("holds no state: the same history gives the same move", () => {
    const next = createAdjuster(aims);
    const { seen } = adjustUnit({ lower: 21, upper: 103, zeroAbove: 1.1, spanBelow: 0.4 }, next);
    for (let i = seen.length; i >= 0; i -= 1)
      expect(next(seen.slice(0, i))).toEqual(createAdjuster(aims)(seen.slice(0, i)));
  });
});
