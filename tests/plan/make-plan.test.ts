import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { makePlan, type PlanOptions } from "../../src/plan/make-plan.ts";
import { planText } from "../../src/plan/plan-text.ts";
import { planTimes } from "../../src/plan/plan-times.ts";
import { SEQUENCES } from "../../src/plan/sequences/index.ts";
import type { PointStep, TestPlan } from "../../src/plan/test-plan.ts";
import { toKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import { idealOutput, type Transfer } from "../../src/vocabulary/signal-range.ts";
import { kegLimits, kegLine } from "./units.ts";

const planned = (options: PlanOptions, transfer: Transfer = kegLine): TestPlan => {
  const plan = makePlan(transfer, kegLimits, options);
  if (!plan.ok) throw new Error(plan.fault.message);
  return plan.value;
};

const refusal = (options: PlanOptions, transfer: Transfer = kegLine, limits = kegLimits) => {
  const plan = makePlan(transfer, limits, options);
  if (plan.ok) throw new Error("was not refused");
  return plan.fault;
};

const points = (plan: TestPlan): readonly PointStep[] => plan.steps.filter((s) => s.kind === "point");
const percents = (plan: TestPlan): readonly number[] => points(plan).map((p) => p.nominal_percent);

describe("makePlan", () => {
  it("goes up and down over five points by default, after one exercise stroke", () => {
    const plan = planned({});
    expect(percents(plan)).toEqual([0, 25, 50, 75, 100, 75, 50, 25, 0]);
    expect(points(plan).map((p) => p.nominal_mA)).toEqual([4, 8, 12, 16, 20, 16, 12, 8, 4]);
    expect(points(plan).map((p) => p.ordinal)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(plan.steps.slice(0, 2)).toMatchObject([
      { kind: "exercise", to_percent: 100, hold_s: 90, least_hold_s: 45 },
      { kind: "exercise", to_percent: 0 },
    ]);
  });

  it("says rising for rising pressure when the action is reverse", () => {
    const plan = planned({}, { ...kegLine, action: "reverse" });
    expect(points(plan).map((p) => p.nominal_mA)).toEqual([20, 16, 12, 8, 4, 8, 12, 16, 20]);
    expect(points(plan)[1]).toMatchObject({ direction: "rising", nominal_percent: 25 });
  });

  it("lays a split range out over its own currents", () => {
    const plan = planned({}, { ...kegLine, input: { lower_mA: mA(4), upper_mA: mA(12) } });
    expect(points(plan).map((p) => p.nominal_mA)).toEqual([4, 6, 8, 10, 12, 10, 8, 6, 4]);
  });

  it("keeps the ends inside where they cannot be passed, approaches them from beyond, and says so", () => {
    const plan = planned({ inside_ends_percent: 10 });
    expect(percents(plan)).toEqual([10, 25, 50, 75, 90, 90, 75, 50, 25, 10]);
    const top = plan.steps.findIndex((s) => s.kind === "point" && s.nominal_percent === 90);
    expect(plan.steps[top + 1]).toMatchObject({ kind: "exercise", to_percent: 100 });
    expect(plan.follows.join(" ")).toContain("10 % of span inside the ends");
  });

  it("repeats a point from the same side", () => {
    const plan = planned({ sequence: "repeat-at-point", repeat_at_percent: 50, repeats: 3, exercise_strokes: 0 });
    expect(plan.steps.map((s) => (s.kind === "point" ? s.nominal_percent : -s.to_percent))).toEqual([
      -40, 50, -40, 50, -40, 50,
    ]);
  });

  it("begins a falling sequence at the top", () => {
    const plan = planned({ sequence: "one-direction", direction: "falling", exercise_strokes: 0 });
    expect(plan.steps[0]).toMatchObject({ kind: "exercise", to_percent: 100 });
    expect(percents(plan)).toEqual([100, 75, 50, 25, 0]);
    expect(plan.follows.join(" ")).toContain("hysteresis and dead band are not seen");
  });

  it("refuses a set point outside the limits with number and limit", () => {
    expect(refusal({}, kegLine, { ...kegLimits, current: { lower_mA: mA(0), upper_mA: mA(15) } })).toMatchObject({
      code: "bad-set-point",
      message: "The set point 100 % of span needs 20.000 mA; the bench is limited to 0.000 to 15.000 mA.",
    });
    expect(refusal({}, kegLine, { ...kegLimits, bench_kPa: kPa(90) }).message).toContain("rated to 90.000 kPa");
    expect(refusal({}, kegLine, { ...kegLimits, unit_kPa: kPa(95) }).message).toContain("at most 95.000 kPa");
  });

  it.each<[PlanOptions, string]>([
    [{ sequence: "round-and-round" }, "choose one of up-down"],
    [{ points: 1 }, "choose a whole number from 2 to 101"],
    [{ points: [0, 50, 50] }, "are not rising"],
    [{ cycles: 0 }, "cycles is not possible"],
    [{ points: 11, inside_ends_percent: 12 }, "runs two points together"],
    [{ sequence: "dkd-r-6-1-a", points: 5 }, "fixes points"],
    [{ settling: { rule: "fixed-dwell", dwell_s: 0, average_s: 5 } }, "dwell_s of the settling rule is 0"],
    [{ approach: { ramp_percent_per_s: 0 } }, "ramp of 0"],
    [{ like_gauge_class: 0.5 }, "none of EN 837-1"],
  ])("refuses %j", (options, words) => {
    expect(refusal(options)).toMatchObject({ kind: "refused", code: "bad-option" });
    expect(refusal(options).message).toContain(words);
  });

  it("reaches the ideal output of every step, never leaves the range, and approaches from the side it names", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...SEQUENCES.map((s) => s.name)),
        fc.constantFrom("direct" as const, "reverse" as const),
        fc.constantFrom("linear" as const, "square-root" as const),
        fc.integer({ min: 0, max: 4 }),
        (sequence, action, characteristic, inside) => {
          const transfer: Transfer = { ...kegLine, action, characteristic };
          const plan = planned({ sequence, inside_ends_percent: inside }, transfer);
          let at = 0;
          for (const step of plan.steps) {
            const percent = step.kind === "point" ? step.nominal_percent : step.to_percent;
            const current = step.kind === "point" ? step.nominal_mA : step.to_mA;
            expect(idealOutput(transfer, current)).toBeCloseTo(20 + 0.8 * percent, 9);
            expect(percent).toBeGreaterThanOrEqual(0);
            expect(percent).toBeLessThanOrEqual(100);
            if (step.kind === "point" && percent !== at)
              expect(step.direction).toBe(percent > at ? "rising" : "falling");
            at = percent;
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe("planTimes", () => {
  it("adds travel and waits, exercise apart", () => {
    const plan = planned({
      points: [0, 50, 100],
      hold_s: 60,
      settling: { rule: "fixed-dwell", dwell_s: 30, average_s: 5 },
    });
    // Two strokes of 10 s with holds of 60 and 5 s; points 0, 50, 100, 50, 0: four moves of 5 s and five waits of 35 s.
    expect(planTimes(plan)).toMatchObject({ exercise_s: 85, points_s: 195, total_s: 280 });
  });

  it("has a time for every sequence", () => {
    for (const { name } of SEQUENCES) {
      const times = planTimes(planned({ sequence: name }));
      expect(times.total_s).toBeGreaterThan(60);
      expect(times.steps.at(-1)?.until_s).toBe(times.total_s);
    }
  });
});

describe("planText", () => {
  it("is a table in the unit's own unit", () => {
    const psi: Transfer = {
      ...kegLine,
      output: { lower_kPa: toKilopascal(3, "psi"), upper_kPa: toKilopascal(15, "psi"), unit: "psi", mode: "gauge" },
    };
    const lines = planText(planned({ points: 3 }, psi), psi).split("\n");
    expect(lines.find((l) => l.includes("% of span    "))).toMatch(/point\s+what\s+% of span\s+mA\s+psi\s+time about/u);
    expect(lines.filter((l) => l.includes("read, "))).toHaveLength(5);
    expect(lines.find((l) => /^\s+2 /u.test(l))).toMatch(/2\s+read, rising\s+50\.0\s+12\.000\s+9\.000\s+\d+:\d\d/u);
  });
});
