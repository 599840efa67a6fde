import { type LeastSquaresFit, leastSquares, polynomialFit } from "./least-squares.ts";
import { type ReferenceLines, referenceLines } from "./linearity.ts";
import { type FittedLine, minimaxLine, minimaxLineThrough, type PlanePoint } from "./minimax-line.ts";

/** One term of a fit, with its standard error from the residuals (divisor n - p). */
export interface FitTerm {
  /** `1` for the constant, `x`, `x^2`, or the name of a column. */
  readonly term: string;
  readonly estimate: number;
  readonly standard_error: number | null;
}

/** A least-squares fit as it is told. */
export interface PlainFit extends Omit<LeastSquaresFit, "estimate" | "standard_error"> {
  readonly terms: readonly FitTerm[];
  readonly n: number;
  /** sqrt(sum of squared residuals / n): what some courses print as the standard deviation of a line. */
  readonly residual_sd_by_n: number;
  readonly max_deviation: number;
}

const told = (fit: LeastSquaresFit | null, terms: readonly string[]): PlainFit | null => {
  if (fit === null) return null;
  const { estimate, standard_error, ...rest } = fit;
  const n = fit.residuals.length;
  return {
    terms: terms.map((term, i) => ({
      term,
      estimate: estimate[i] ?? Number.NaN,
      standard_error: standard_error?.[i] ?? null,
    })),
    n,
    ...rest,
    residual_sd_by_n: Math.sqrt(fit.ss_residual / n),
    max_deviation: fit.residuals.reduce((most, r) => Math.max(most, Math.abs(r)), 0),
  };
};

/** y over powers of x; null when the points cannot carry so many terms. */
export const plainPolynomial = (points: readonly PlanePoint[], degree: number, intercept: boolean): PlainFit | null => {
  const powers = Array.from({ length: degree }, (_, i) => (i === 0 ? "x" : `x^${i + 1}`));
  const fit = polynomialFit(
    points.map((p) => p.x),
    points.map((p) => p.y),
    degree,
    { intercept },
  );
  return told(fit, intercept ? ["1", ...powers] : powers);
};

/** y over several columns. */
export const plainRegression = (
  rows: readonly (readonly number[])[],
  y: readonly number[],
  names: readonly string[],
  intercept: boolean,
): PlainFit | null => told(leastSquares(rows, y, { intercept }), intercept ? ["1", ...names] : names);

/** Every straight line that the trade puts through a set of points. Deviations are in y. */
export interface PlainLines extends Omit<ReferenceLines, "least_squares"> {
  readonly least_squares: PlainFit | null;
  /** Through the origin: by least squares, and with the smallest largest deviation. */
  readonly least_squares_through_zero: PlainFit | null;
  readonly through_zero: FittedLine | null;
}

export const plainLines = (points: readonly PlanePoint[]): PlainLines => {
  const { terminal, zero_based } = referenceLines(points);
  return {
    least_squares: plainPolynomial(points, 1, true),
    independent: minimaxLine(points),
    terminal,
    zero_based,
    least_squares_through_zero: plainPolynomial(points, 1, false),
    through_zero: minimaxLineThrough({ x: 0, y: 0 }, points),
  };
};
