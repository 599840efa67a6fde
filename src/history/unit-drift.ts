import { addDays, DAYS_PER_YEAR, type Day, dayNumber, dayOfNumber } from "./calendar-days.ts";
import { type DriftSeries, driftSeries } from "./drift-series.ts";
import { type StudentT, type TrendLine, trendLine } from "./trend-line.ts";
import type { UnitHistory } from "./unit-history.ts";

/** How far ahead a line is followed, years. Beyond that "it does not leave the limit" is all that is said. */
export const HORIZON_YEARS = 10;

export interface Predicted {
  readonly date: Day;
  /** Error as found on that day, % of output span, and the half-widths of its interval and of that of the line. */
  readonly error: number;
  readonly next: number;
  readonly line: number;
}

export interface PointDrift {
  readonly series: DriftSeries;
  /** Calibrations that it rests on. */
  readonly runs: number;
  readonly trend: TrendLine;
  readonly per_year: number;
  readonly per_year_half_width: number;
  /** Does the interval of the slope leave zero out? */
  readonly drifts: boolean;
  readonly at: (date: Day) => Predicted;
  /** Day on which the line itself meets a limit; null when not within the horizon. */
  readonly expected_leaves: Day | null;
  /** First day on which the interval for the next as-found result reaches a limit. */
  readonly earliest_leaves: Day | null;
  /** Last day on which the whole interval still lies inside the limits; null when it does not even now. */
  readonly inside_until: Day | null;
}

export type UnitDrift =
  | { readonly kind: "too-few"; readonly runs: number; readonly why: string }
  | {
      readonly kind: "drift";
      readonly points: readonly PointDrift[];
      /** The point that may leave its limit first. */
      readonly governing: PointDrift;
    };

/** The last whole day in [from, to] for which `inside` holds, when it holds from the beginning and ends once. */
const lastInside = (from: number, to: number, inside: (day: number) => boolean): number | null => {
  if (!inside(from)) return null;
  if (inside(to)) return to;
  let [good, bad] = [from, to];
  while (bad - good > 1) {
    const middle = Math.floor((good + bad) / 2);
    if (inside(middle)) good = middle;
    else bad = middle;
  }
  return good;
};

const pointDrift = (series: DriftSeries, confidence: number, studentT: StudentT): PointDrift | null => {
  const first = series.points[0];
  const last = series.points.at(-1);
  if (first === undefined || last === undefined) return null;
  const zero = dayNumber(first.date);
  const trend = trendLine(
    series.points.map((p) => ({ x: dayNumber(p.date) - zero, y: p.error, u: p.u, segment: p.segment })),
    { confidence, scatter: "larger", studentT },
  );
  if (trend === null) return null;
  const predict = (day: number) => {
    const band = trend.at(day - zero);
    return { error: band.value, next: band.next, line: band.line };
  };
  const limit = series.limit_percent_span;
  const from = dayNumber(last.date);
  const to = from + Math.floor(HORIZON_YEARS * DAYS_PER_YEAR);
  // The upper edge of the band is convex and the lower one concave, so from inside each limit is met once.
  const band = lastInside(from, to, (day) => {
    const { error, next } = predict(day);
    return Math.abs(error) + next <= limit;
  });
  const line = lastInside(from, to, (day) => Math.abs(predict(day).error) <= limit);
  const after = (day: number | null): Day | null =>
    day === null ? last.date : day === to ? null : dayOfNumber(day + 1);
  return {
    series,
    runs: new Set(series.points.map((p) => p.run_id)).size,
    trend,
    per_year: trend.slope * DAYS_PER_YEAR,
    per_year_half_width: trend.slope_half_width * DAYS_PER_YEAR,
    drifts: Math.abs(trend.slope) > trend.slope_half_width,
    at: (date) => ({ date, ...predict(dayNumber(date)) }),
    expected_leaves: after(line),
    earliest_leaves: after(band),
    inside_until: band === null ? null : dayOfNumber(band),
  };
};

/** Smaller comes first: the day of leaving, then how much of the limit the band takes after half a year. */
const urgency = (drift: PointDrift): readonly [Day, number] => {
  const { error, next } = drift.at(addDays(drift.series.points.at(-1)?.date ?? "1970-01-01", 183));
  return [drift.earliest_leaves ?? "9999-12-31", -(Math.abs(error) + next) / drift.series.limit_percent_span];
};

/**
 * Drift of every point of a unit over its last stretch of calibrations, with the interval for the next as-found result.
 * Below three runs there is no scatter about a line to speak of, and nothing is predicted.
 */
export const unitDrift = (history: UnitHistory, confidence: number, studentT: StudentT): UnitDrift => {
  const runs = history.stretch.length;
  const points = driftSeries(history).flatMap((series) => pointDrift(series, confidence, studentT) ?? []);
  const [governing] = points.toSorted((a, b) => {
    const [p, q] = [urgency(a), urgency(b)];
    return p[0] < q[0] ? -1 : p[0] > q[0] ? 1 : p[1] - q[1];
  });
  if (governing !== undefined) return { kind: "drift", points, governing };
  const count = runs === 0 ? "no calibration" : runs === 1 ? "one calibration" : `${runs} calibrations`;
  return {
    kind: "too-few",
    runs,
    why:
      runs < 3
        ? `${count} in a row: a line with its scatter needs three or more`
        : `${count} in a row, but no point was read on three different days in all of them`,
  };
};
