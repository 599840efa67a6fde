import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type LeastSquaresFit, leastSquares, polynomialFit } from "../../src/analysis/least-squares.ts";
import { lag1Autocorrelation, mean, oneWayAnova, standardDeviation } from "../../src/analysis/statistics.ts";

/**
 * NIST Statistical Reference Datasets (United States government data, public domain): certified values to 15 digits.
 * Score: log relative error, capped at 15; for a certified zero the magnitude itself.
 */
interface Certified {
  readonly estimate: readonly number[];
  readonly standardDeviation: readonly number[];
  readonly residualStandardDeviation: number;
  readonly rSquared: number;
  readonly anova: { readonly ssRegression: number; readonly ssResidual: number; readonly F: number | null };
}
interface LineSet {
  readonly name: string;
  readonly polynomialDegree: number | null;
  readonly intercept: boolean;
  readonly certified: Certified;
  readonly x: readonly number[] | readonly (readonly number[])[];
  readonly y: readonly number[];
}
interface UnivariateSet {
  readonly name: string;
  readonly certified: Readonly<Record<"mean" | "standardDeviation" | "lag1Autocorrelation", number>>;
  readonly attainableRelativeError: Readonly<Record<"mean" | "standardDeviation" | "lag1Autocorrelation", number>>;
  readonly data?: readonly number[];
  readonly digits?: string;
}
interface AnovaSet {
  readonly name: string;
  readonly certified: Readonly<
    Record<"ssBetween" | "ssWithin" | "F" | "rSquared" | "residualStandardDeviation", number>
  >;
  readonly exactFForIeeeDoubles: number;
  readonly data: readonly (readonly number[])[];
}

const strd = JSON.parse(
  readFileSync(new URL("../../src/app/self-test/cases/nist-strd.json", import.meta.url), "utf8"),
) as {
  readonly univariate: readonly UnivariateSet[];
  readonly linearRegression: readonly LineSet[];
  readonly anova: readonly AnovaSet[];
};

const digits = (computed: number, certified: number): number => {
  const error = Math.abs(computed - certified) / (certified === 0 ? 1 : Math.abs(certified));
  return error === 0 ? 15 : Math.min(15, -Math.log10(error));
};

const worst = (computed: readonly number[], certified: readonly number[]): number => {
  expect(computed.length).toBe(certified.length);
  return Math.min(...computed.map((c, i) => digits(c, certified[i] ?? Number.NaN)));
};

/** Whole digits that every estimate and every standard error of the set reaches. */
const DIGITS_REACHED: Readonly<Record<string, { readonly estimate: number; readonly standardError: number }>> = {
  Norris: { estimate: 14, standardError: 13 },
  Pontius: { estimate: 13, standardError: 13 },
  NoInt1: { estimate: 14, standardError: 14 },
  Longley: { estimate: 14, standardError: 14 },
  Wampler1: { estimate: 15, standardError: 15 },
  Wampler3: { estimate: 15, standardError: 14 },
  Wampler5: { estimate: 15, standardError: 14 },
  Filip: { estimate: 13, standardError: 14 },
};

const fitOf = (set: LineSet): LeastSquaresFit => {
  const fit =
    set.polynomialDegree === null
      ? leastSquares(set.x as readonly (readonly number[])[], set.y, { intercept: set.intercept })
      : polynomialFit(set.x as readonly number[], set.y, set.polynomialDegree, { intercept: set.intercept });
  if (fit === null) throw new Error(`${set.name} has no fit`);
  return fit;
};

test("all nineteen sets are here", () => {
  expect([strd.univariate.length, strd.linearRegression.length, strd.anova.length]).toEqual([7, 8, 4]);
});

describe("NIST StRD, linear least squares", () => {
  test.each(strd.linearRegression)("$name", (set) => {
    const fit = fitOf(set);
    const { certified } = set;
    const reached = DIGITS_REACHED[set.name] ?? { estimate: Number.NaN, standardError: Number.NaN };
    expect(worst(fit.estimate, certified.estimate)).toBeGreaterThanOrEqual(reached.estimate);
    expect(worst(fit.standard_error ?? [], certified.standardDeviation)).toBeGreaterThanOrEqual(reached.standardError);
    expect(digits(fit.residual_sd ?? Number.NaN, certified.residualStandardDeviation)).toBeGreaterThanOrEqual(13);
    expect(digits(fit.r_squared, certified.rSquared)).toBeGreaterThanOrEqual(14);
    expect(digits(fit.ss_regression, certified.anova.ssRegression)).toBeGreaterThanOrEqual(14);
    expect(digits(fit.ss_residual, certified.anova.ssResidual)).toBeGreaterThanOrEqual(13);
    // Wampler1 lies on its curve: F is infinite, and what is left of the residuals is rounding.
    if (certified.anova.F === null) expect(fit.F ?? Number.POSITIVE_INFINITY).toBeGreaterThan(1e50);
    else expect(digits(fit.F ?? Number.NaN, certified.anova.F)).toBeGreaterThanOrEqual(13);
  });
});

describe("NIST StRD, mean, standard deviation, lag-1 autocorrelation", () => {
  test.each(strd.univariate)("$name", (set) => {
    const data = set.data ?? [...(set.digits ?? "")].map(Number);
    const computed = {
      mean: mean(data),
      standardDeviation: standardDeviation(data) ?? Number.NaN,
      lag1Autocorrelation: lag1Autocorrelation(data) ?? Number.NaN,
    };
    for (const key of ["mean", "standardDeviation", "lag1Autocorrelation"] as const) {
      // The decimals of the sets are not doubles: no arithmetic on doubles can come closer than the attainable error.
      const attainable = -Math.log10(set.attainableRelativeError[key] * 1.1 + 1e-14);
      expect(digits(computed[key], set.certified[key]), key).toBeGreaterThanOrEqual(attainable);
    }
  });
});

describe("NIST StRD, one-way analysis of variance", () => {
  test.each(strd.anova)("$name", (set) => {
    const result = oneWayAnova(set.data);
    if (result === null) throw new Error("no analysis of variance");
    // F of the set as doubles hold it, in exact arithmetic: the only honest target for SmLs07 (certified 21).
    expect(digits(result.F, set.exactFForIeeeDoubles)).toBeGreaterThanOrEqual(13);
    const held = digits(set.exactFForIeeeDoubles, set.certified.F);
    const target = Math.min(held - 0.5, 13);
    expect(digits(result.F, set.certified.F)).toBeGreaterThanOrEqual(target);
    expect(digits(result.ss_between, set.certified.ssBetween)).toBeGreaterThanOrEqual(target);
    expect(digits(result.ss_within, set.certified.ssWithin)).toBeGreaterThanOrEqual(target);
    expect(digits(result.r_squared, set.certified.rSquared)).toBeGreaterThanOrEqual(target);
    expect(digits(result.residual_sd, set.certified.residualStandardDeviation)).toBeGreaterThanOrEqual(target);
  });
});
