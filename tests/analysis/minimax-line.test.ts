import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { referenceLines } from "../../src/analysis/linearity.ts";
import { minimaxLine, minimaxLineThrough, type PlanePoint } from "../../src/analysis/minimax-line.ts";

const worstFrom = (points: readonly PlanePoint[], slope: number, intercept: number): number =>
  Math.max(...points.map((p) => Math.abs(p.y - slope * p.x - intercept)));

/** Tries the slope of every pair of points, each with its best intercept: the best line has one of these slopes. */
const bruteForce = (points: readonly PlanePoint[]): number => {
  let best = Number.POSITIVE_INFINITY;
  for (const a of points) {
    for (const b of points) {
      if (a.x >= b.x) continue;
      const slope = (b.y - a.y) / (b.x - a.x);
      const rests = points.map((p) => p.y - slope * p.x);
      best = Math.min(best, (Math.max(...rests) - Math.min(...rests)) / 2);
    }
  }
  return best;
};

/** Through a pin, the best slope makes two deviations equal, or meets one point. */
const bruteForceThrough = (pin: PlanePoint, points: readonly PlanePoint[]): number => {
  const moved = points.map((p) => ({ x: p.x - pin.x, y: p.y - pin.y }));
  const both = [...moved, ...moved.map((p) => ({ x: -p.x, y: -p.y }))];
  let best = Number.POSITIVE_INFINITY;
  for (const a of both) {
    for (const b of both) {
      if (a.x === b.x) continue;
      best = Math.min(best, worstFrom(moved, (b.y - a.y) / (b.x - a.x), 0));
    }
  }
  return best;
};

const coordinate = fc.oneof(
  fc.integer({ min: -20, max: 20 }),
  fc.double({ noNaN: true, min: -100, max: 100 }).map((v) => Number(v.toFixed(6))),
);
const cloud = fc
  .array(fc.record({ x: coordinate, y: coordinate }), { minLength: 2, maxLength: 14 })
  .filter((points) => points.some((p) => p.x !== points[0]?.x));

describe("the minimax line", () => {
  test("property: no line through any two slopes is better, on 1,000 random sets", () => {
    fc.assert(
      fc.property(cloud, (points) => {
        const line = minimaxLine(points);
        const best = bruteForce(points);
        const scale = 1e-9 * (1 + best + Math.abs(line?.slope ?? 0) * 200);
        expect(line?.max_deviation).toBeLessThanOrEqual(best + scale);
        expect(line?.max_deviation).toBeGreaterThanOrEqual(best - scale);
        expect(worstFrom(points, line?.slope ?? Number.NaN, line?.intercept ?? Number.NaN)).toBeCloseTo(
          line?.max_deviation ?? Number.NaN,
          9,
        );
      }),
      { numRuns: 1000 },
    );
  });

  test("property: the same through a pin, on 1,000 random sets", () => {
    fc.assert(
      fc.property(cloud, fc.record({ x: coordinate, y: coordinate }), (points, pin) => {
        fc.pre(points.some((p) => p.x !== pin.x));
        const line = minimaxLineThrough(pin, points);
        const best = bruteForceThrough(pin, points);
        const scale = 1e-9 * (1 + best + Math.abs(line?.slope ?? 0) * 200);
        expect(line?.max_deviation).toBeLessThanOrEqual(best + scale);
        expect(line?.max_deviation).toBeGreaterThanOrEqual(best - scale);
        expect(
          Math.abs((line?.intercept ?? Number.NaN) + (line?.slope ?? Number.NaN) * pin.x - pin.y),
        ).toBeLessThanOrEqual(scale);
      }),
      { numRuns: 1000 },
    );
  });

  test("property: three contacts with changing sign, which is what makes a minimax line (Chebyshev)", () => {
    fc.assert(
      fc.property(cloud, (points) => {
        const distinct = [...new Map(points.map((p) => [p.x, p])).values()].toSorted((a, b) => a.x - b.x);
        fc.pre(distinct.length >= 3);
        const line = minimaxLine(distinct);
        if (line === null) throw new Error("no line");
        fc.pre(line.max_deviation > 1e-6);
        const signs = distinct
          .map((p) => p.y - line.slope * p.x - line.intercept)
          .filter((d) => Math.abs(d) > line.max_deviation * (1 - 1e-6) - 1e-9)
          .map(Math.sign);
        const changes = signs.filter((s, i) => i > 0 && s !== signs[i - 1]).length;
        expect(changes).toBeGreaterThanOrEqual(2);
      }),
      { numRuns: 300 },
    );
  });

  test("property: independent <= zero-based <= terminal-based, and independent <= least squares", () => {
    fc.assert(
      fc.property(cloud, (points) => {
        const curve = [...new Map(points.map((p) => [p.x, p])).values()];
        fc.pre(curve.length >= 2);
        const { independent, terminal, zero_based, least_squares } = referenceLines(curve);
        const [i, t, z, s] = [independent, terminal, zero_based, least_squares].map(
          (l) => l?.max_deviation ?? Number.NaN,
        );
        const rounding = 1e-9 * (1 + (t ?? 0));
        expect(i).toBeLessThanOrEqual((z ?? 0) + rounding);
        expect(z).toBeLessThanOrEqual((t ?? 0) + rounding);
        expect(i).toBeLessThanOrEqual((s ?? 0) + rounding);
      }),
      { numRuns: 300 },
    );
  });

  test("one x, and no point at all, have no line", () => {
    expect(minimaxLine([])).toBeNull();
    expect(
      minimaxLine([
        { x: 1, y: 1 },
        { x: 1, y: 3 },
      ]),
    ).toBeNull();
    expect(minimaxLineThrough({ x: 1, y: 0 }, [{ x: 1, y: 3 }])).toBeNull();
  });

  test("a parabola over n points: half its sagitta, by hand", () => {
    // y = x^2 on -1..1: the best line is y = 1/2, the deviation 1/2.
    const points = Array.from({ length: 201 }, (_, i) => ({ x: (i - 100) / 100, y: ((i - 100) / 100) ** 2 }));
    const line = minimaxLine(points);
    expect(line?.max_deviation).toBeCloseTo(0.5, 12);
    expect(line?.slope).toBeCloseTo(0, 12);
    expect(line?.at_x).toBe(-1);
  });

  test("100,000 points in well under a second", () => {
    let state = 12345;
    const next = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return state / 2 ** 32;
    };
    const points = Array.from({ length: 1e5 }, () => {
      const angle = 2 * Math.PI * next();
      return { x: Math.cos(angle) * 50, y: Math.sin(angle) * 50 };
    });
    // Time of the processor, because how busy the machine is besides is not what is measured.
    const timed = <T>(work: () => T): { readonly result: T; readonly cpu_ms: number } => {
      const before = process.cpuUsage();
      const result = work();
      return { result, cpu_ms: process.cpuUsage(before).user / 1000 };
    };
    const free = timed(() => minimaxLine(points));
    const pinned = timed(() => minimaxLineThrough({ x: -60, y: 0 }, points));
    expect(free.cpu_ms).toBeLessThan(1000);
    expect(pinned.cpu_ms).toBeLessThan(2000);
    const line = free.result;
    const zero = pinned.result;
    // A circle of radius 50: the best line is level, as far from the top as from the bottom.
    expect(line?.max_deviation).toBeCloseTo(50, 3);
    expect(zero?.max_deviation).toBeGreaterThanOrEqual(line?.max_deviation ?? Number.NaN);
  });
});
