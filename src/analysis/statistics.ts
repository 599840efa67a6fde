import {
  add,
  type DoubleDouble,
  dd,
  divide,
  multiply,
  squareRoot,
  subtract,
  sum,
  toNumber,
  ZERO,
} from "./double-double.ts";

/**
 * Small statistics. Sums are taken in double-double arithmetic, so that the result is right to the last digits that
 * the readings themselves carry. The one-pass textbook formula for the variance is not used: it can come out negative.
 */

const meanOf = (values: readonly number[]): DoubleDouble => divide(sum(values.map((v) => dd(v))), dd(values.length));

const squaresAbout = (values: readonly number[], centre: DoubleDouble): DoubleDouble => {
  let total = ZERO;
  for (const value of values) {
    const d = subtract(dd(value), centre);
    total = add(total, multiply(d, d));
  }
  return total;
};

/** Arithmetic mean; NaN of nothing. */
export const mean = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : toNumber(meanOf(values));

/** Standard deviation of a sample, divisor n - 1; null below two values. */
export const standardDeviation = (values: readonly number[]): number | null =>
  values.length < 2 ? null : toNumber(squareRoot(divide(squaresAbout(values, meanOf(values)), dd(values.length - 1))));

/**
 * Standard deviation of the standard deviation of n normal values, as a share of it; null below two. With two values it
 * is 76 %, with ten 24 %. Source: JCGM 100:2008, E.4.3; the ratio of gamma functions by its recurrence.
 */
export const relativeSdOfSd = (n: number): number | null => {
  if (n < 2) return null;
  // c4(n) = sqrt(2/(n-1)) Gamma(n/2) / Gamma((n-1)/2), upwards from c4(2) = sqrt(2/pi): c4(n+1) c4(n) = sqrt((n-1)/n).
  let c4 = Math.sqrt(2 / Math.PI);
  for (let m = 2; m < n; m += 1) c4 = Math.sqrt((m - 1) / m) / c4;
  return Math.sqrt((1 - c4) * (1 + c4)) / c4;
};

/** Root mean square, divisor n (40 CFR 1065.602(d)). */
export const rootMeanSquare = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : toNumber(squareRoot(divide(squaresAbout(values, ZERO), dd(values.length))));

/** Lag-1 autocorrelation about the mean, the full sum of squares below the line; null without spread. */
export const lag1Autocorrelation = (values: readonly number[]): number | null => {
  if (values.length < 2) return null;
  const centre = meanOf(values);
  const below = squaresAbout(values, centre);
  if (below.hi === 0) return null;
  let above = ZERO;
  for (let i = 1; i < values.length; i += 1) {
    const a = subtract(dd(values[i - 1] ?? Number.NaN), centre);
    const b = subtract(dd(values[i] ?? Number.NaN), centre);
    above = add(above, multiply(a, b));
  }
  return toNumber(divide(above, below));
};

export interface SampleSummary {
  readonly mean: number;
  readonly sd: number;
  readonly n: number;
}

/**
 * Difference of two means without the assumption of equal spread (Welch), with the degrees of freedom of
 * Welch-Satterthwaite. Source: 40 CFR 1065.602(f).
 */
export const unpairedT = (
  a: SampleSummary,
  b: SampleSummary,
): { readonly t: number; readonly degrees_of_freedom: number } => {
  const va = a.sd ** 2 / a.n;
  const vb = b.sd ** 2 / b.n;
  return {
    t: Math.abs(a.mean - b.mean) / Math.sqrt(va + vb),
    degrees_of_freedom: (va + vb) ** 2 / (va ** 2 / (a.n - 1) + vb ** 2 / (b.n - 1)),
  };
};

/** One-way analysis of variance: what part of the spread lies between the groups. */
export interface OneWayAnova {
  readonly df_between: number;
  readonly ss_between: number;
  readonly df_within: number;
  readonly ss_within: number;
  readonly F: number;
  readonly r_squared: number;
  readonly residual_sd: number;
}

/** null below two groups or without degrees of freedom inside the groups. */
export const oneWayAnova = (groups: readonly (readonly number[])[]): OneWayAnova | null => {
  const all = groups.flat();
  const dfBetween = groups.length - 1;
  const dfWithin = all.length - groups.length;
  if (dfBetween < 1 || dfWithin < 1 || groups.some((g) => g.length === 0)) return null;
  const grand = meanOf(all);
  let between = ZERO;
  let within = ZERO;
  for (const group of groups) {
    const centre = meanOf(group);
    const d = subtract(centre, grand);
    between = add(between, multiply(dd(group.length), multiply(d, d)));
    within = add(within, squaresAbout(group, centre));
  }
  const meanSquareWithin = divide(within, dd(dfWithin));
  return {
    df_between: dfBetween,
    ss_between: toNumber(between),
    df_within: dfWithin,
    ss_within: toNumber(within),
    F: toNumber(divide(divide(between, dd(dfBetween)), meanSquareWithin)),
    r_squared: toNumber(divide(between, add(between, within))),
    residual_sd: toNumber(squareRoot(meanSquareWithin)),
  };
};
