import type { PlainData } from "../readings/plain-data.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type Autoregression, autoregression } from "./autoregression.ts";
import { levelsOf } from "./plain-levels.ts";
import { type PlainFit, type PlainLines, plainLines, plainPolynomial, plainRegression } from "./plain-lines.ts";
import { type PlainStatic, type PlainStaticOptions, plainStatic } from "./plain-static.ts";
import {
  lag1Autocorrelation,
  mean,
  type OneWayAnova,
  oneWayAnova,
  relativeSdOfSd,
  rootMeanSquare,
  standardDeviation,
  unpairedT,
} from "./statistics.ts";
import { type SteadyRatioWeights, steadyRatios } from "./steady-ratio.ts";

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
  /** How far the standard deviation itself may be off, as a share of it (JCGM 100:2008, E.4.3). */
  readonly relative_sd_of_sd: number | null;
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
  /** Values in the order of the file as a series that remembers, where that was asked for. */
  readonly autoregression: Autoregression | null;
  /** Ratios for steadiness, value by value, where they were asked for. */
  readonly steady: SteadyRatios | null;
  readonly missing: number;
}

export interface SteadyRatios {
  readonly weights: SteadyRatioWeights;
  readonly ratios: readonly (number | null)[];
  readonly largest: number | null;
  /** Number of the value, from 1. */
  readonly largest_at: number | null;
}

export interface DataOptions extends Omit<PlainStaticOptions, "directed"> {
  readonly degree?: number;
  readonly through_zero?: boolean;
  /** Order of the autoregression over the values. */
  readonly autoregression?: number;
  readonly steady_ratio?: SteadyRatioWeights;
  /** First and last value that count, from 1, both included. */
  readonly rows?: readonly [first: number, last: number];
  /** x is counted from here. */
  readonly x_origin?: number;
  /** Every y is multiplied by it first. */
  readonly multiply_y?: number;
}

const prepared = (data: PlainData, { rows, x_origin = 0, multiply_y = 1 }: DataOptions): PlainData => ({
  ...data,
  rows: data.rows
    .slice((rows?.[0] ?? 1) - 1, rows?.[1])
    .map((row) => ({ ...row, x: row.x.map((x) => x - x_origin), y: row.y * multiply_y })),
});

const seriesOf = (
  y: readonly number[],
  { autoregression: order, steady_ratio: weights }: DataOptions,
): Result<Pick<DataAnalysis, "autoregression" | "steady">, Fault> => {
  const found = order === undefined ? null : autoregression(y, order);
  if (order !== undefined && found === null) {
    return err(
      fault("refused", "bad-file", `${y.length} values give no autoregression of order ${order}.`, {
        means: "The series is too short for it, does not vary, or wanders off instead of standing.",
        remedy: "Give more values or a lower order.",
      }),
    );
  }
  if (weights === undefined) return ok({ autoregression: found, steady: null });
  const ratios = steadyRatios(y, weights);
  const largest = ratios.reduce<number | null>(
    (most, r) => (r !== null && (most === null || r > most) ? r : most),
    null,
  );
  const largest_at = largest === null ? null : ratios.indexOf(largest) + 1;
  return ok({ autoregression: found, steady: { weights, ratios, largest, largest_at } });
};

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
    relative_sd_of_sd: relativeSdOfSd(y.length),
    lag_1_autocorrelation: lag1Autocorrelation(y),
  };
};

/** Mean of rising and falling mean at each x, as the trade averages a calibration; in order of x. */
const meanCurve = (data: PlainData): readonly { readonly x: number; readonly y: number }[] =>
  levelsOf(data.rows.map((r) => ({ ...r, x: r.x[0] ?? Number.NaN }))).map(({ x, mean: y }) => ({ x, y }));

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
export const analyseData = (whole: PlainData, options: DataOptions = {}): Result<DataAnalysis, Fault> => {
  const data = prepared(whole, options);
  const y = data.rows.map((r) => r.y);
  if (y.length === 0) {
    return err(
      fault("refused", "bad-option", `The file has ${whole.rows.length} values; the rows asked for are beyond them.`, {
        remedy: 'Write the first and the last, such as --rows "1 to 20".',
      }),
    );
  }
  const series = seriesOf(y, options);
  if (!series.ok) return series;
  const intercept = options.through_zero !== true;
  const degree = options.degree ?? 1;
  const base = { summary: summaryOf(y), missing: data.missing, ...series.value };
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
