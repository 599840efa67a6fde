import { leastSquares } from "../analysis/least-squares.ts";
import { grouped } from "./grouped.ts";

/** Quantile of Student's t: p and degrees of freedom. It is handed in: the tables live with the uncertainties. */
export type StudentT = (p: number, degrees_of_freedom: number) => number;

export interface TrendPoint {
  /** Results of one segment lie on one line; the lines of all segments have one slope. Left out: all are of one. */
  readonly segment?: number;
  readonly x: number;
  readonly y: number;
  /** Standard uncertainty of y; null where it is not known. */
  readonly u: number | null;
}

/**
 * What the scatter about the line is taken to be.
 * `residual`: from the residuals, with n - 1 - (number of segments) degrees of freedom.
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
  /** Standard deviation of one result of unit weight about the line. */
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
 * Straight line by least squares with its band; over several segments, lines of one slope, each with a level of its own
 * (analysis of covariance), and the band of the last. Where every point has a standard uncertainty they count by 1/u^2,
 * and the next result is taken to have the u of the last point; else all count alike.
 * null without a degree of freedom, or when no segment has two places.
 */
export const trendLine = (points: readonly TrendPoint[], options: TrendOptions): TrendLine | null => {
  const last = points.at(-1);
  if (last === undefined) return null;
  const n = points.length;
  const known = points.flatMap((p) => (p.u !== null && p.u > 0 ? [p.u] : []));
  const weighted = known.length === n;
  if (options.scatter === "known" && !weighted) return null;
  // Unit weight is that of the root mean square u, so that a scatter is said in the unit of y.
  const u_unit = weighted ? Math.sqrt(n / known.reduce((s, u) => s + 1 / (u * u), 0)) : null;
  const root = (u: number | null): number => (u_unit === null || u === null ? 1 : u_unit / u);
  const segments = [...grouped(points, (p) => String(p.segment ?? 0)).values()].map((own) => {
    const total = own.reduce((s, p) => s + root(p.u) ** 2, 0);
    const middle = (of: (p: TrendPoint) => number): number =>
      own.reduce((s, p) => s + root(p.u) ** 2 * of(p), 0) / total;
    return { own, total, x: middle((p) => p.x), y: middle((p) => p.y) };
  });
  const current = segments.find((s) => s.own.includes(last));
  const degrees = n - 1 - segments.length;
  if (current === undefined || degrees < 1) return null;
  // About the weighted middle of its segment, level and slope are uncorrelated.
  const centred = segments.flatMap((s) =>
    s.own.map((p) => ({ x: root(p.u) * (p.x - s.x), y: root(p.u) * (p.y - s.y) })),
  );
  const fit = leastSquares(
    centred.map((p) => [p.x]),
    centred.map((p) => p.y),
    { intercept: false },
  );
  if (fit === null) return null;
  const [slope = Number.NaN] = fit.estimate;
  const spread = centred.reduce((s, p) => s + p.x ** 2, 0);
  const residual_sd = Math.sqrt(fit.ss_residual / degrees);
  const scatter =
    options.scatter === "known" && u_unit !== null
      ? u_unit
      : options.scatter === "larger" && u_unit !== null
        ? Math.max(u_unit, residual_sd)
        : residual_sd;
  const t = options.studentT(0.5 + options.confidence / 2, degrees);
  const u_slope = scatter / Math.sqrt(spread);
  return {
    n,
    slope,
    u_slope,
    slope_half_width: t * u_slope,
    degrees_of_freedom: degrees,
    scatter,
    residual_sd,
    weighted,
    confidence: options.confidence,
    at: (x) => {
      const u_line = scatter * Math.sqrt(1 / current.total + (x - current.x) ** 2 / spread);
      return {
        value: current.y + slope * (x - current.x),
        u_line,
        line: t * u_line,
        next: t * Math.hypot(u_line, scatter / root(last.u)),
      };
    },
  };
};
