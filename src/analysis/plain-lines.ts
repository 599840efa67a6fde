import { type LackOfFit, lackOfFit } from "./lack-of-fit.ts";
import { type LeastSquaresFit, leastSquares, polynomialFit } from "./least-squares.ts";
import { referenceLines } from "./linearity.ts";
import { type FittedLine, minimaxLine, minimaxLineThrough, type PlanePoint } from "./minimax-line.ts";

/** One term of a fit, with its standard error from the residuals (divisor n - p). */
export interface FitTerm {
  /** `1` for the constant, `x`, `x^2`, or the name of a column. */
  readonly term: string;
  readonly estimate: number;
  readonly standard_error: number | null;
  /** Estimate over its standard error. */
  readonly t: number | null;
}

/** A least-squares fit as it is told. */
export interface PlainFit extends Omit<LeastSquaresFit, "estimate" | "standard_error"> {
  readonly terms: readonly FitTerm[];
  readonly n: number;
  /** sqrt(sum of squared residuals / n): what some courses print as the standard deviation of a line. */
  readonly residual_sd_by_n: number;
  readonly max_deviation: number;
  /** Between the estimates, in the order of the terms. */
  readonly correlation: readonly (readonly number[])[];
  /** Where some x were read more than once. */
  readonly lack_of_fit: LackOfFit | null;
}

const told = (
  fit: LeastSquaresFit | null,
  terms: readonly string[],
  rows: readonly (readonly number[])[],
  y: readonly number[],
): PlainFit | null => {
  if (fit === null) return null;
  const variance = (i: number): number => fit.cofactors[i]?.[i] ?? Number.NaN;
  const { estimate, standard_error, ...rest } = fit;
  const n = fit.residuals.length;
  return {
    terms: terms.map((term, i) => ({
      term,
      estimate: estimate[i] ?? Number.NaN,
      standard_error: standard_error?.[i] ?? null,
      t: standard_error?.[i] ? (estimate[i] ?? Number.NaN) / standard_error[i] : null,
    })),
    n,
    ...rest,
    residual_sd_by_n: Math.sqrt(fit.ss_residual / n),
    max_deviation: fit.residuals.reduce((most, r) => Math.max(most, Math.abs(r)), 0),
    correlation: fit.cofactors.map((row, i) =>
      row.map((c, j) => (i === j ? 1 : c / Math.sqrt(variance(i) * variance(j)))),
    ),
    lack_of_fit: lackOfFit(rows, y, fit),
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
  return told(
    fit,
    intercept ? ["1", ...powers] : powers,
    points.map((p) => [p.x]),
    points.map((p) => p.y),
  );
};

/** y over several columns. */
export const plainRegression = (
  rows: readonly (readonly number[])[],
  y: readonly number[],
  names: readonly string[],
  intercept: boolean,
): PlainFit | null => told(leastSquares(rows, y, { intercept }), intercept ? ["1", ...names] : names, rows, y);

/** A straight line with what the points do about it. */
export interface PlainLine extends FittedLine {
  /** y minus the line, in the order of the points. */
  readonly deviations: readonly number[];
  /** The one of largest size, with its sign. */
  readonly worst_deviation: number;
  /** Its size brought to the x axis through the slope; null for a level line. */
  readonly in_x: number | null;
}

/** Every straight line that the trade puts through a set of points. Deviations are in y. */
export interface PlainLines {
  readonly independent: PlainLine | null;
  readonly terminal: PlainLine | null;
  readonly zero_based: PlainLine | null;
  readonly least_squares: PlainFit | null;
  /** Through the origin: by least squares, and with the smallest largest deviation. */
  readonly least_squares_through_zero: PlainFit | null;
  readonly through_zero: PlainLine | null;
}

const withDeviations = (points: readonly PlanePoint[], line: FittedLine | null): PlainLine | null => {
  if (line === null) return null;
  const deviations = points.map(({ x, y }) => y - (line.intercept + line.slope * x));
  const worst_deviation = deviations.reduce((worst, d) => (Math.abs(d) > Math.abs(worst) ? d : worst), 0);
  return {
    ...line,
    deviations,
    worst_deviation,
    in_x: line.slope === 0 ? null : line.max_deviation / Math.abs(line.slope),
  };
};

export const plainLines = (points: readonly PlanePoint[]): PlainLines => {
  const { terminal, zero_based } = referenceLines(points);
  return {
    least_squares: plainPolynomial(points, 1, true),
    independent: withDeviations(points, minimaxLine(points)),
    terminal: withDeviations(points, terminal),
    zero_based: withDeviations(points, zero_based),
    least_squares_through_zero: plainPolynomial(points, 1, false),
    through_zero: withDeviations(points, minimaxLineThrough({ x: 0, y: 0 }, points)),
  };
};
