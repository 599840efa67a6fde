import { describe, expect, it } from "vitest";
import { makePlan, type PlanOptions } from "../../../src/plan/make-plan.ts";
import { evenPoints, insideEnds, leastPointsForClass } from "../../../src/plan/point-sets.ts";
import type { TestPlan } from "../../../src/plan/test-plan.ts";
import { kegLimits, kegLine } from "../../plan/units.ts";

const planned = (options: PlanOptions): TestPlan => {
  const plan = makePlan(kegLine, kegLimits, options);
  if (!plan.ok) throw new Error(plan.fault.message);
  return plan.value;
};
const pointsOf = (plan: TestPlan) => plan.steps.filter((s) => s.kind === "point");
const distinct = (plan: TestPlan) => new Set(pointsOf(plan).map((p) => p.nominal_percent)).size;
const firstPoint = (plan: TestPlan) => plan.steps.findIndex((s) => s.kind === "point");
const preloads = (plan: TestPlan) =>
  plan.steps
    .slice(0, firstPoint(plan))
    .flatMap((s) => (s.kind === "exercise" && s.to_percent === 100 ? [s.hold_s] : []));
const series = (plan: TestPlan, direction: string) =>
  new Set(pointsOf(plan).flatMap((p) => (p.direction === direction ? [p.cycle] : []))).size;

/**
 * DKD-R 6-1, sequences A, B, C: table as an accredited laboratory summarises it
 * (proemtec.de, page on what an accreditation body asks of calibrations). Series up/down: from memory.
 */
describe("DKD-R 6-1 sequences", () => {
  it.each([
    { name: "dkd-r-6-1-a", points: 9, preloads: 3, up: 2, down: 2 },
    { name: "dkd-r-6-1-b", points: 9, preloads: 2, up: 2, down: 1 },
    { name: "dkd-r-6-1-c", points: 5, preloads: 1, up: 1, down: 1 },
  ])("$name: points, preloadings, holds", (row) => {
    const plan = planned({ sequence: row.name });
    expect(distinct(plan)).toBe(row.points);
    expect(preloads(plan)).toEqual(Array.from({ length: row.preloads }, () => 2 * 60));
    expect(plan.settling).toMatchObject({ minimum_dwell_s: 0.5 * 60 });
    expect([series(plan, "rising"), series(plan, "falling")]).toEqual([row.up, row.down]);
    expect(pointsOf(plan)).toHaveLength(row.points * (row.up + row.down));
    expect(plan.follows.join(" ")).toContain("from memory");
  });
});

/** EURAMET cg-17 v2.0 (03/2011), 5.2.1 as stored at scribd.com/document/669024202; 5.2.2 and 5.2.3 from memory. */
describe("EURAMET cg-17 procedures", () => {
  it("basic: 6 points, once increasing and decreasing", () => {
    const plan = planned({ sequence: "cg-17-basic" });
    expect(distinct(plan)).toBe(6);
    expect([series(plan, "rising"), series(plan, "falling")]).toEqual([1, 1]);
    expect(plan.follows[0]).not.toContain("from memory");
  });

  it("from memory: standard 11 points with four pressures read three times, comprehensive 11 points three times", () => {
    const standard = planned({ sequence: "cg-17-standard" });
    expect(distinct(standard)).toBe(11);
    const rises = (at: number) =>
      pointsOf(standard).filter((p) => p.direction === "rising" && p.nominal_percent === at).length;
    expect(evenPoints(11).filter((at) => rises(at) === 3)).toHaveLength(4);
    const comprehensive = planned({ sequence: "cg-17-comprehensive" });
    expect(pointsOf(comprehensive)).toHaveLength(11 * 2 * 3);
    for (const plan of [standard, comprehensive]) expect(plan.follows[0]).toContain("from memory");
  });
});

/** Kuphaldt, Lessons in Industrial Instrumentation (CC BY), calibration procedures, at controlsystemworld.com. */
describe("five-point sets", () => {
  it("are 0, 25, 50, 75, 100 and, inside the ends, 10, 25, 50, 75, 90", () => {
    expect(evenPoints(5)).toEqual([0, 25, 50, 75, 100]);
    expect(insideEnds(evenPoints(5), 10)).toEqual([10, 25, 50, 75, 90]);
  });
});

/** EN 837-1:1996 and EN 837-3 as a gauge maker's test instruction quotes them. */
describe("EN 837 number of points", () => {
  it.each([
    [0.1, 10],
    [0.25, 10],
    [0.6, 10],
    [1, 5],
    [1.6, 5],
    [2.5, 5],
    [4, 5],
  ])("class %d wants at least %d points", (gaugeClass, least) => {
    expect(leastPointsForClass(gaugeClass)).toEqual({ ok: true, value: least });
    expect(distinct(planned({ like_gauge_class: gaugeClass }))).toBe(least);
    expect(makePlan(kegLine, kegLimits, { like_gauge_class: gaugeClass, points: least - 1 }).ok).toBe(false);
  });
});
