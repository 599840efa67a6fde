import type { PlainData } from "../readings/plain-data.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type PlainFit, type PlainLines, plainLines, plainPolynomial, plainRegression } from "./plain-lines.ts";
import { type PlainStatic, type PlainStaticOptions, plainStatic } from "./plain-static.ts";
import {
  lag1Autocorrelation,
  mean,
  type OneWayAnova,
  oneWayAnova,
  rootMeanSquare,
  standardDeviation,
  unpairedT,
} from "./statistics.ts";

export interface PlainSummary {
  readonly n: number;
  readonly mean: number;
  /** Divisor n - 1; null below two values. */
  readonly standard_deviation: number | null;
  /** Standard deviation over sqrt(n). */
  readonly standard_deviation_of_mean: number | null;
  /** Divisor n. */
  readonly root_mean_square: number;
  readonly smallest: number;
  readonly largest: number;
  readonly lag_1_autocorrelation: number | null;
}

/** A straight line set of one part of the points: all, the mean curve, one direction. */
export interface NamedLines {
  readonly over: "all" | "mean" | "rising" | "falling";
  readonly lines: PlainLines;
}

/** What plain columns of numbers say; what the columns do not hold is null. */
export interface DataAnalysis {
  readonly summary: PlainSummary;
  readonly groups: OneWayAnova | null;
  /** Between two groups, spreads not taken as equal (Welch). */
  readonly unpaired_t: { readonly t: number; readonly degrees_of_freedom: number } | null;
  /** The fit that was asked for: of all points, over x, its powers, or several columns. */
  readonly fit: PlainFit | null;
  readonly lines: readonly NamedLines[];
  readonly static: PlainStatic | null;
  readonly missing: number;
}

export interface DataOptions extends Omit<PlainStaticOptions, "directed"> {
  readonly degree?: number;
  readonly through_zero?: boolean;
}

const summaryOf = (y: readonly number[]): PlainSummary => {
  const sd = standardDeviation(y);
  return {
    n: y.length,
    mean: mean(y),
    standard_deviation: sd,
    standard_deviation_of_mean: sd === null ? null : sd / Math.sqrt(y.length),
    root_mean_square: rootMeanSquare(y),
    smallest: y.reduce((a, b) => Math.min(a, b)),
    largest: y.reduce((a, b) => Math.max(a, b)),
    lag_1_autocorrelation: lag1Autocorrelation(y),
  };
};

/** Mean of rising and falling mean at each x, as the trade averages a calibration; in order of x. */
const meanCurve = (data: PlainData): readonly { readonly x: number; readonly y: number }[] => {
  const levels = [...new Set(data.rows.map((r) => r.x[0] ?? Number.NaN))].toSorted((a, b) => a - b);
  return levels.map((x) => {
    const here = data.rows.filter((r) => r.x[0] === x);
    const branches = (["rising", "falling", null] as const).flatMap((direction) => {
      const ys = here.filter((r) => r.direction === direction).map((r) => r.y);
      return ys.length === 0 ? [] : [mean(ys)];
    });
    return { x, y: mean(branches) };
  });
};

const linesOf = (data: PlainData): readonly NamedLines[] => {
  const planes = (rows: PlainData["rows"]) => rows.map((r) => ({ x: r.x[0] ?? Number.NaN, y: r.y }));
  const average = meanCurve(data);
  const averaged = average.length < data.rows.length;
  const directions = data.directed ? (["rising", "falling"] as const) : [];
  return [
    { over: "all", lines: plainLines(planes(data.rows)) },
    ...(averaged ? [{ over: "mean" as const, lines: plainLines(average) }] : []),
    ...directions.flatMap((over) => {
      const rows = data.rows.filter((r) => r.direction === over);
      return rows.length === 0 ? [] : [{ over, lines: plainLines(planes(rows)) }];
    }),
  ];
};

const groupsOf = (data: PlainData): readonly (readonly number[])[] =>
  [...new Set(data.rows.map((r) => r.group))].map((group) =>
    data.rows.filter((r) => r.group === group).map((r) => r.y),
  );

/** Figures of plain columns. Pure. Refuses what the columns cannot carry: a fit with more terms than points. */
export const analyseData = (data: PlainData, options: DataOptions = {}): Result<DataAnalysis, Fault> => {
  const y = data.rows.map((r) => r.y);
  const intercept = options.through_zero !== true;
  const degree = options.degree ?? 1;
  const base = { summary: summaryOf(y), missing: data.missing };
  if (data.x.length === 0) {
    const groups = data.grouped ? groupsOf(data) : [];
    const [a, b] = groups.map((g) => ({ mean: mean(g), sd: standardDeviation(g), n: g.length }));
    const two = groups.length === 2 && a !== undefined && b !== undefined && a.sd !== null && b.sd !== null;
    return ok({
      ...base,
      groups: oneWayAnova(groups),
      unpaired_t: two ? unpairedT({ ...a, sd: a.sd ?? 0 }, { ...b, sd: b.sd ?? 0 }) : null,
      fit: null,
      lines: [],
      static: null,
    });
  }
  const one = data.x.length === 1;
  const fit = one
    ? plainPolynomial(
        data.rows.map((r) => ({ x: r.x[0] ?? Number.NaN, y: r.y })),
        degree,
        intercept,
      )
    : plainRegression(
        data.rows.map((r) => r.x),
        y,
        data.x.map((c) => c.name),
        intercept,
      );
  if (fit === null && (degree > 1 || !one)) {
    return err(
      fault("refused", "bad-file", `${y.length} values cannot carry this fit.`, {
        means: "There are fewer values than terms, or the columns depend on each other.",
        remedy: "Give more values, or a fit with fewer terms.",
      }),
    );
  }
  const statics: Result<PlainStatic | null, Fault> = one
    ? plainStatic(data.rows, { ...options, directed: data.directed })
    : ok(null);
  if (!statics.ok) return statics;
  return ok({
    ...base,
    groups: null,
    unpaired_t: null,
    fit,
    lines: one ? linesOf(data) : [],
    static: statics.value,
  });
};
