import {
  add,
  type DoubleDouble,
  dd,
  divide,
  multiply,
  negate,
  squareRoot,
  subtract,
  toNumber,
  ZERO,
} from "./double-double.ts";

/** A least-squares fit with everything that is printed of it. Divisor of the variances: n - p, the degrees of freedom. */
export interface LeastSquaresFit {
  readonly estimate: readonly number[];
  /** Standard errors of the estimates; null without degrees of freedom. */
  readonly standard_error: readonly number[] | null;
  /** Inverse of X'X: times the variance of a single value it is the covariance of the estimates. */
  readonly cofactors: readonly (readonly number[])[];
  readonly residuals: readonly number[];
  readonly degrees_of_freedom: number;
  /** sqrt(sum of squared residuals / (n - p)); null without degrees of freedom. */
  readonly residual_sd: number | null;
  readonly ss_residual: number;
  /** About the mean with an intercept, about zero without. */
  readonly ss_regression: number;
  readonly r_squared: number;
  readonly F: number | null;
}

export interface FitOptions {
  /** Does the model have a constant? It decides what R squared is measured from. */
  readonly intercept: boolean;
}

/** Columns closer to dependence than this, relative to their length, are called dependent. */
const RANK_LIMIT = 1e-24;

/**
 * Householder QR with unit columns in double-double arithmetic. `rows` are the observations without the constant.
 * null when there are fewer observations than unknowns, or when the columns depend on each other.
 */
export const leastSquares = (
  rows: readonly (readonly number[])[],
  y: readonly number[],
  options: FitOptions,
): LeastSquaresFit | null => {
  const design = rows.map((row) => (options.intercept ? [dd(1), ...row.map((v) => dd(v))] : row.map((v) => dd(v))));
  return solve(
    design,
    y.map((v) => dd(v)),
    options.intercept,
  );
};

/** Fits b0 + b1 x + ... + bd x^d (or without b0). The powers are formed in double-double arithmetic. */
export const polynomialFit = (
  x: readonly number[],
  y: readonly number[],
  degree: number,
  options: FitOptions = { intercept: true },
): LeastSquaresFit | null => {
  const design = x.map((value) => {
    const base = dd(value);
    const row: DoubleDouble[] = [];
    let power = dd(1);
    for (let d = 0; d <= degree; d += 1) {
      if (d > 0) power = multiply(power, base);
      if (d > 0 || options.intercept) row.push(power);
    }
    return row;
  });
  return solve(
    design,
    y.map((v) => dd(v)),
    options.intercept,
  );
};

/** Straight line by least squares: slope and intercept, in the order that a person asks for them. */
export const leastSquaresLine = (
  x: readonly number[],
  y: readonly number[],
): { readonly slope: number; readonly intercept: number; readonly fit: LeastSquaresFit } | null => {
  const fit = polynomialFit(x, y, 1);
  if (fit === null) return null;
  const [intercept = Number.NaN, slope = Number.NaN] = fit.estimate;
  return { slope, intercept, fit };
};

const solve = (
  design: readonly (readonly DoubleDouble[])[],
  y: readonly DoubleDouble[],
  intercept: boolean,
): LeastSquaresFit | null => {
  const n = design.length;
  const p = design[0]?.length ?? 0;
  if (n !== y.length) throw new RangeError(`${n} rows and ${y.length} values`);
  if (p === 0 || n < p) return null;

  const columns: DoubleDouble[][] = [];
  const scale: DoubleDouble[] = [];
  for (let j = 0; j < p; j += 1) {
    const column = design.map((row) => row[j] ?? ZERO);
    const length = norm(column, 0);
    if (length.hi === 0) return null;
    scale.push(length);
    columns.push(column.map((v) => divide(v, length)));
  }

  const q = [...y];
  const diagonal: DoubleDouble[] = [];
  for (let k = 0; k < p; k += 1) {
    const column = columns[k] ?? [];
    const length = norm(column, k);
    if (length.hi < RANK_LIMIT) return null;
    const head = column[k] ?? ZERO;
    const alpha = head.hi > 0 ? negate(length) : length;
    diagonal.push(alpha);
    column[k] = subtract(head, alpha);
    const half = dot(column, column, k);
    for (let j = k + 1; j < p; j += 1) reflect(column, half, columns[j] ?? [], k);
    reflect(column, half, q, k);
  }

  const upper = (i: number, j: number): DoubleDouble => columns[j]?.[i] ?? ZERO;
  const backSubstitute = (right: readonly DoubleDouble[]): DoubleDouble[] => {
    const out: DoubleDouble[] = new Array<DoubleDouble>(p).fill(ZERO);
    for (let i = p - 1; i >= 0; i -= 1) {
      let rest = right[i] ?? ZERO;
      for (let j = i + 1; j < p; j += 1) rest = subtract(rest, multiply(upper(i, j), out[j] ?? ZERO));
      out[i] = divide(rest, diagonal[i] ?? ZERO);
    }
    return out;
  };

  const estimate = backSubstitute(q).map((b, j) => divide(b, scale[j] ?? dd(1)));
  const residuals = design.map((row, i) => {
    let rest = y[i] ?? ZERO;
    for (const [j, value] of row.entries()) rest = subtract(rest, multiply(value, estimate[j] ?? ZERO));
    return rest;
  });
  const ssResidual = dot(residuals, residuals, 0);
  const explained = q.slice(intercept ? 1 : 0, p);
  const ssRegression = dot(explained, explained, 0);
  const degrees = n - p;

  // Columns of the inverse of R, undone of the scale of the columns.
  const inverse = Array.from({ length: p }, (_, j) => {
    const unit = new Array<DoubleDouble>(p).fill(ZERO);
    unit[j] = dd(1);
    return backSubstitute(unit);
  });
  const cofactor = (i: number, j: number): DoubleDouble => {
    let sum = ZERO;
    for (const column of inverse) sum = add(sum, multiply(column[i] ?? ZERO, column[j] ?? ZERO));
    return divide(sum, multiply(scale[i] ?? dd(1), scale[j] ?? dd(1)));
  };
  const cofactors = inverse.map((_, i) => inverse.map((__, j) => cofactor(i, j)));
  const variance = degrees > 0 ? divide(ssResidual, dd(degrees)) : null;
  const standardError =
    variance === null ? null : cofactors.map((row, i) => toNumber(squareRoot(multiply(row[i] ?? ZERO, variance))));
  const regressors = explained.length;
  const residualMean = degrees > 0 ? toNumber(ssResidual) / degrees : null;
  const total = add(ssRegression, ssResidual);
  return {
    estimate: estimate.map(toNumber),
    standard_error: standardError,
    cofactors: cofactors.map((row) => row.map(toNumber)),
    residuals: residuals.map(toNumber),
    degrees_of_freedom: degrees,
    residual_sd: degrees > 0 ? toNumber(squareRoot(divide(ssResidual, dd(degrees)))) : null,
    ss_residual: toNumber(ssResidual),
    ss_regression: toNumber(ssRegression),
    r_squared: total.hi === 0 ? 1 : toNumber(divide(ssRegression, total)),
    F:
      residualMean === null || residualMean === 0 || regressors === 0
        ? null
        : toNumber(ssRegression) / regressors / residualMean,
  };
};

const dot = (a: readonly DoubleDouble[], b: readonly DoubleDouble[], from: number): DoubleDouble => {
  let total = ZERO;
  for (let i = from; i < a.length; i += 1) total = add(total, multiply(a[i] ?? ZERO, b[i] ?? ZERO));
  return total;
};

const norm = (a: readonly DoubleDouble[], from: number): DoubleDouble => squareRoot(dot(a, a, from));

/** target := target - 2 v (v . target) / (v . v), from row `from` on. */
const reflect = (v: readonly DoubleDouble[], vv: DoubleDouble, target: DoubleDouble[], from: number): void => {
  const factor = divide(multiply(dd(2), dot(v, target, from)), vv);
  for (let i = from; i < target.length; i += 1) {
    target[i] = subtract(target[i] ?? ZERO, multiply(factor, v[i] ?? ZERO));
  }
};
