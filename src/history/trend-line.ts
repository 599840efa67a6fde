import { leastSquares } from "../analysis/least-squares.ts";

/** Quantile of Student's t: p and degrees of freedom. It is handed in: the tables live with the uncertainties. */
export type StudentT = (p: number, degrees_of_freedom: number) => number;

export interface TrendPoint {
  readonly x: number;
  readonly y: number;
  /** Standard uncertainty of y; null where it is not known. */
  readonly u: number | null;
}

/**
 * What the scatter about the line is taken to be.
 * `residual`: from the residuals, n - 2 degrees of freedom.
 * `known`: the stated standard uncertainties (JCGM GUM-6:2020, 10.6.4).
 * `larger`: from the residuals, but never below what is stated: three points that happen to lie on a line prove no
 * scatter of nothing.
 */
export type Scatter = "residual" | "known" | "larger";

export interface Band {
  readonly value: number;
  /** Standard uncertainty of the line there. */
  readonly u_line: number;
  /** Half-width of the confidence interval of the line. */
  readonly line: number;
  /** Half-width of the interval for the next single result; needs more than the line: the result scatters too. */
  readonly next: number;
}

export interface TrendLine {
  readonly n: number;
  readonly slope: number;
  readonly u_slope: number;
  /** Half-width of the confidence interval of the slope. */
  readonly slope_half_width: number;
  readonly degrees_of_freedom: number;
  /** Standard deviation of one result about the line: of unit weight in the middle of the points. */
  readonly scatter: number;
  readonly residual_sd: number;
  readonly weighted: boolean;
  readonly confidence: number;
  readonly at: (x: number) => Band;
}

export interface TrendOptions {
  readonly confidence: number;
  readonly scatter: Scatter;
  readonly studentT: StudentT;
}

/**
 * Straight line by least squares with its band. Where every point has a standard uncertainty they count by 1/u^2, and
 * the next result is taken to have the u of the last point; else all count alike.
 * null below three points, or with all of them at one x.
 */
export const trendLine = (points: readonly TrendPoint[], options: TrendOptions): TrendLine | null => {
  const n = points.length;
  if (n < 3) return null;
  const known = points.flatMap((p) => (p.u !== null && p.u > 0 ? [p.u] : []));
  const weighted = known.length === n;
  if (options.scatter === "known" && !weighted) return null;
  // Unit weight is that of the root mean square u, so that a scatter is said in the unit of y.
  const u_unit = weighted ? Math.sqrt(n / known.reduce((s, u) => s + 1 / (u * u), 0)) : null;
  const root = (u: number | null): number => (u_unit === null || u === null ? 1 : u_unit / u);
  const roots = points.map((p) => root(p.u));
  const total = roots.reduce((s, r) => s + r * r, 0);
  const middle = points.reduce((s, p, i) => s + (roots[i] ?? 0) ** 2 * p.x, 0) / total;
  const fit = leastSquares(
    points.map((p, i) => [roots[i] ?? 0, (roots[i] ?? 0) * (p.x - middle)]),
    points.map((p, i) => (roots[i] ?? 0) * p.y),
    { intercept: false },
  );
  if (fit === null || fit.residual_sd === null) return null;
  const [level = Number.NaN, slope = Number.NaN] = fit.estimate;
  const spread = points.reduce((s, p, i) => s + (roots[i] ?? 0) ** 2 * (p.x - middle) ** 2, 0);
  const scatter =
    options.scatter === "known" && u_unit !== null
      ? u_unit
      : options.scatter === "larger" && u_unit !== null
        ? Math.max(u_unit, fit.residual_sd)
        : fit.residual_sd;
  const degrees = fit.degrees_of_freedom;
  const t = options.studentT(0.5 + options.confidence / 2, degrees);
  const nextRoot = root(points.at(-1)?.u ?? null);
  // About the weighted middle, level and slope are uncorrelated.
  const u_slope = scatter / Math.sqrt(spread);
  return {
    n,
    slope,
    u_slope,
    slope_half_width: t * u_slope,
    degrees_of_freedom: degrees,
    scatter,
    residual_sd: fit.residual_sd,
    weighted,
    confidence: options.confidence,
    at: (x) => {
      const u_line = scatter * Math.sqrt(1 / total + (x - middle) ** 2 / spread);
      return {
        value: level + slope * (x - middle),
        u_line,
        line: t * u_line,
        next: t * Math.hypot(u_line, scatter / nextRoot),
      };
    },
  };
};
