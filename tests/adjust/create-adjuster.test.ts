import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createAdjuster, readAdjusting } from "../../src/adjust/create-adjuster.ts";
import { interplayOfModel } from "../../src/adjust/interplay.ts";
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

  const WITHOUT_PULL = { zero: { ratio: 1, u: 0.02 }, span: { ratio: 0, u: 0.02 } };

  it("mends a unit whose model it knows with one turn of each", () => {
    const next = createAdjuster({ ...aims, interplay: WITHOUT_PULL });
    const result = adjustUnit({ lower: 21, upper: 103, zeroAbove: 1, spanBelow: 0 }, next);
    expect(turns(result).map((t) => [t.screw, Number(t.target_kPa.toFixed(6))])).toEqual([
      ["zero", 20],
      ["span", 100],
    ]);
    expect(result.end).toMatchObject({ kind: "done", rounds: 1 });
  });

  it("turns span first while its pull on the low end is not known, and foresees it from then on", () => {
    const result = adjust({ lower: 21, upper: 103, zeroAbove: 1, spanBelow: 0.5 });
    const [first, second, third] = turns(result);
    expect(first).toMatchObject({ screw: "span", at: "upper" });
    // The first span turn went from 103 to s and took the low end to 21 + (s - 103) / 2; both right needs zero +1 and
    // span -4 in all (21 + 1 - 2 = 20, 103 + 1 - 4 = 100), so zero is set to its reading then + 1.
    const s = first?.after_kPa ?? Number.NaN;
    expect(second).toMatchObject({ screw: "zero", at: "lower" });
    expect(second?.target_kPa).toBeCloseTo(21 + (s - 103) / 2 + 1, 3);
    // Then one turn of span brings both right.
    expect(third).toMatchObject({ screw: "span" });
    expect(third?.target_kPa).toBeCloseTo(100, 3);
    expect(turns(result)).toHaveLength(3);
    expect(result.end).toMatchObject({ kind: "done", rounds: 2 });
  });

  it("finishes with one screw where that brings both ends within the aim", () => {
    const next = createAdjuster({ ...aims, interplay: { span: { ratio: 0.5, u: 0.01 } } });
    const result = adjustUnit({ lower: 20.2, upper: 100.4, zeroAbove: 1, spanBelow: 0.5 }, next);
    expect(turns(result).map((t) => t.screw)).toEqual(["span"]);
    expect(result.end.kind).toBe("done");
  });

  it("says where to aim in the owner's unit", () => {
    const next = createAdjuster({
      wanted_kPa: { lower: kPa(20.684), upper: kPa(103.421) },
      tolerance_kPa: kPa(0.4),
      interplay: { zero: { ratio: 1, u: 0.01 }, span: { ratio: 0.5, u: 0.01 } },
      unit: "psi",
    });
    const seen = [
      { kind: "reading", at: "lower", output_kPa: kPa(20.684), u_kPa: kPa(0.005) },
      { kind: "reading", at: "upper", output_kPa: kPa(106.421), u_kPa: kPa(0.005) },
    ] as const;
    // 3 kPa too much above: span -6, zero +3; span is turned to 3 kPa below the ideal, 0.435 psi.
    expect(next(seen)).toMatchObject({
      kind: "turn",
      screw: "span",
      why: "span at the upper end: -0.870 psi to 14.565 psi; zero will bring it back to 15.000 psi",
    });
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
      { numRuns: 500, seed: 20261, endOnFailure: true },
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
      { numRuns: 500, seed: 20261, endOnFailure: true },
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

  describe("with wrong hands", () => {
    const reading = (at: "lower" | "upper", value: number) =>
      ({ kind: "reading", at, output_kPa: kPa(value), u_kPa: kPa(0.005) }) as const;
    const turned = (screw: "zero" | "span", before: number, after: number) =>
      ({
        kind: "turn",
        screw,
        at: screw === "zero" ? "lower" : "upper",
        target_kPa: kPa(after),
        before_kPa: kPa(before),
        after_kPa: kPa(after),
        u_kPa: kPa(0.005),
        outcome: "let-go",
      }) as const;
    const known = { zero: { ratio: 1.1, u: 0.03 }, span: { ratio: 0.4, u: 0.03 } };
    const next = createAdjuster({ ...aims, interplay: known });

    it("recognises that the other screw was turned, and still mends the unit", () => {
      // Zero was asked for; span moved the upper end by 2.5 and with it the lower one by 1.
      const seen = [reading("upper", 101), reading("lower", 19), turned("zero", 19, 20), reading("upper", 103.5)];
      const move = next(seen);
      expect(move).toMatchObject({ kind: "turn", noticed: expect.stringContaining("acted like SPAN, not ZERO") });
      expect(next([...seen, reading("upper", 103.5)])).not.toHaveProperty("noticed");
    });

    it("recognises that both were turned", () => {
      const seen = [reading("upper", 101), reading("lower", 19), turned("zero", 19, 20), reading("upper", 97)];
      expect(next(seen)).toMatchObject({ kind: "turn", noticed: expect.stringContaining("both were turned") });
    });

    it("says nothing of a turn that did what was asked", () => {
      const seen = [reading("upper", 101), reading("lower", 19), turned("zero", 19, 20), reading("upper", 102.1)];
      expect(next(seen)).not.toHaveProperty("noticed");
    });

    it("reads both ends again after a change that nobody was asked for", () => {
      const seen = [reading("upper", 101), reading("lower", 19), reading("lower", 19.6)];
      expect(next(seen)).toMatchObject({
        kind: "measure",
        at: "upper",
        noticed: expect.stringContaining("although no turn was asked for"),
      });
    });

    it("is not misled by one odd turn among good ones, before or after them", () => {
      const good = [reading("upper", 101), reading("lower", 19), turned("zero", 19, 20), reading("upper", 102.1)];
      const odd = [turned("span", 102.1, 101.1), reading("lower", 20 - 1 / 1.1)];
      const { acted, interplay } = readAdjusting(aims, [
        ...good,
        ...odd,
        turned("zero", 18.9, 20),
        reading("upper", 102.31),
      ]);
      // Where span was asked for, zero was turned: it moved the high end by 1 and the low end by 1 / 1.1 of that.
      expect(acted).toEqual(["asked", "other", "asked"]);
      expect(interplay.zero.ratio).toBeCloseTo(1.1, 1);
    });
  });

  it("learns a model from earlier units, with their spread", () => {
    expect(interplayOfModel([])).toBeNull();
    expect(interplayOfModel([{ ratio: 1, u: 0.2 }])).toBeNull();
    const told = interplayOfModel([0.38, 0.4, 0.42].map((ratio) => ({ ratio, u: 0.01 })));
    expect(told?.ratio).toBeCloseTo(0.4, 9);
    // Standard deviation 0.02 of three, for one more unit: 0.02 * sqrt(4/3), and 0.01 each.
    expect(told?.u).toBeCloseTo(Math.hypot(0.02 * Math.sqrt(4 / 3), 0.01), 6);
  });
});
