import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { leastSquares, leastSquaresLine, polynomialFit } from "../../src/analysis/least-squares.ts";
import {
  lag1Autocorrelation,
  mean,
  oneWayAnova,
  rootMeanSquare,
  standardDeviation,
} from "../../src/analysis/statistics.ts";

describe("least squares", () => {
  test("property: a polynomial through exact points comes back, however far from zero", () => {
    const whole = fc.integer({ min: -50, max: 50 });
    fc.assert(
      fc.property(fc.tuple(whole, whole, whole), fc.integer({ min: -1000, max: 1000 }), ([b0, b1, b2], offset) => {
        const x = [0, 1, 2, 3, 4, 5].map((v) => v + offset);
        const fit = polynomialFit(
          x,
          x.map((v) => b0 + b1 * v + b2 * v * v),
          2,
        );
        for (const [i, b] of [b0, b1, b2].entries()) expect(fit?.estimate[i]).toBeCloseTo(b, 9);
        expect(fit?.ss_residual).toBeLessThan(1e-20);
      }),
    );
  });

  test("property: residuals are square to every column", () => {
    const value = fc.double({ noNaN: true, min: -100, max: 100 });
    fc.assert(
      fc.property(fc.array(fc.tuple(value, value), { minLength: 3, maxLength: 20 }), (pairs) => {
        const x = pairs.map(([a]) => a);
        const line = leastSquaresLine(
          x,
          pairs.map(([, b]) => b),
        );
        fc.pre(line !== null && new Set(x).size > 1);
        const r = line?.fit.residuals ?? [];
        const scale = Math.max(1, ...pairs.flat().map(Math.abs)) ** 2 * 1e-12;
        expect(Math.abs(r.reduce((s, v) => s + v, 0))).toBeLessThan(scale);
        expect(Math.abs(r.reduce((s, v, i) => s + v * (x[i] ?? 0), 0))).toBeLessThan(scale * 10);
      }),
    );
  });

  test("columns that depend on each other, and too few rows, have no fit", () => {
    expect(
      leastSquares(
        [
          [1, 2],
          [2, 4],
          [3, 6],
          [4, 8],
        ],
        [1, 2, 3, 4],
        { intercept: true },
      ),
    ).toBeNull();
    expect(leastSquares([[0], [0]], [1, 2], { intercept: false })).toBeNull();
    expect(leastSquaresLine([3, 3, 3], [1, 2, 3])).toBeNull();
    expect(leastSquaresLine([3], [1])).toBeNull();
    expect(polynomialFit([], [], 1)).toBeNull();
  });

  test("two points make a line without standard errors", () => {
    const line = leastSquaresLine([0, 2], [1, 5]);
    expect([line?.intercept, line?.slope]).toEqual([1, 2]);
    expect(line?.fit).toMatchObject({ degrees_of_freedom: 0, standard_error: null, residual_sd: null, F: null });
  });
});

test("small samples: nothing is made up", () => {
  expect(mean([])).toBeNaN();
  expect(rootMeanSquare([])).toBeNaN();
  expect(standardDeviation([1])).toBeNull();
  expect(standardDeviation([1, 1])).toBe(0);
  expect(lag1Autocorrelation([1])).toBeNull();
  expect(lag1Autocorrelation([2, 2, 2])).toBeNull();
  expect(oneWayAnova([[1, 2]])).toBeNull();
  expect(oneWayAnova([[1], [2]])).toBeNull();
});
