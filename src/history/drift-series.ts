import type { Direction } from "../vocabulary/reading.ts";
import { type Day, dayNumber } from "./calendar-days.ts";
import type { FactPoint, FactStage } from "./calibration-fact.ts";
import { type Finding, leftOf, type UnitHistory } from "./unit-history.ts";

export interface SeriesPoint {
  readonly run_id: string;
  readonly date: Day;
  /** Error as found and as it was left, % of output span; the same number where nothing was turned. */
  readonly found: number | null;
  readonly left: number;
  /**
   * The error as it would stand had nobody turned a screw since the first of these runs: the error in which the first
   * run left the unit, and every change from as left to the next as found added up.
   */
  readonly untouched: number;
  /** Standard uncertainty of the error. */
  readonly u: number | null;
}

/** One nominal point in one direction over the runs of a stretch. */
export interface DriftSeries {
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly limit_percent_span: number;
  readonly points: readonly SeriesPoint[];
  /** Added to `untouched` it gives the error in the state in which the unit was left last. */
  readonly offset: number;
}

const pointIn = (stage: FactStage | null, like: Pick<FactPoint, "nominal_percent" | "direction">): FactPoint | null =>
  stage?.points.find(
    (p) => p.nominal_percent === like.nominal_percent && p.direction === like.direction && !p.clipped,
  ) ?? null;

const uOf = (point: FactPoint): number | null =>
  point.U_percent_span === null || point.k === null ? null : point.U_percent_span / point.k;

const seriesOf = (stretch: readonly Finding[], like: FactPoint): DriftSeries | null => {
  let points: SeriesPoint[] = [];
  for (const [index, { fact, date }] of stretch.entries()) {
    const found = pointIn(fact.as_found, like);
    const left = pointIn(leftOf(fact), like);
    const before = points.at(-1);
    // A run without this point, or with the output at a stop there, cuts the series of this point.
    if (left === null || (index > 0 && found === null)) {
      points = [];
      continue;
    }
    const untouched =
      before === undefined || found === null
        ? left.error_percent_span
        : before.untouched + (found.error_percent_span - before.left);
    points.push({
      run_id: fact.run_id,
      date,
      found: found?.error_percent_span ?? null,
      left: left.error_percent_span,
      untouched,
      u: uOf(found ?? left),
    });
  }
  const last = points.at(-1);
  if (last === undefined) return null;
  return {
    nominal_percent: like.nominal_percent,
    direction: like.direction,
    limit_percent_span: like.limit_percent_span,
    points,
    offset: last.left - last.untouched,
  };
};

/** The points of the last calibration, each over the stretch that leads to it. */
export const driftSeries = (history: UnitHistory): readonly DriftSeries[] => {
  const last = history.stretch.at(-1);
  const stage = last === undefined ? null : leftOf(last.fact);
  return (stage?.points ?? [])
    .toSorted((a, b) => a.nominal_percent - b.nominal_percent || (a.direction < b.direction ? 1 : -1))
    .flatMap((point) => seriesOf(history.stretch, point) ?? []);
};

/** Name of a point for a person. */
export const seriesName = ({
  nominal_percent,
  direction,
}: Pick<DriftSeries, "nominal_percent" | "direction">): string => `${nominal_percent} % ${direction}`;

/** Change of a figure of a stage from one run to the next. */
export interface Step {
  readonly from: Day;
  readonly to: Day;
  readonly days: number;
  readonly change: number;
}

/** As found less as left before, for zero error or span error, over every pair of runs without an interruption. */
export const stepsOf = (
  history: UnitHistory,
  figure: "zero_error_percent_span" | "span_error_percent_span",
): readonly Step[] =>
  history.findings.flatMap((now, i) => {
    const before = history.findings[i - 1];
    if (before === undefined || now.since === null) return [];
    const left = leftOf(before.fact)?.[figure] ?? null;
    const found = now.fact.as_found?.[figure] ?? null;
    if (left === null || found === null) return [];
    const days = dayNumber(now.date) - dayNumber(before.date);
    return [{ from: before.date, to: now.date, days, change: found - left }];
  });
