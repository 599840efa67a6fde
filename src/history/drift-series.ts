import type { Direction } from "../vocabulary/reading.ts";
import { type Day, dayNumber } from "./calendar-days.ts";
import type { FactPoint, FactStage } from "./calibration-fact.ts";
import { type Finding, leftOf, type UnitHistory } from "./unit-history.ts";

/** One result at one point: as found, as left, or both where no screw was turned. */
export interface SeriesPoint {
  readonly run_id: string;
  readonly date: Day;
  readonly what: "found" | "left";
  /** % of output span. */
  readonly error: number;
  /** Standard uncertainty of the error. */
  readonly u: number | null;
  /**
   * Results between which no screw was turned have the same number: as left before to as found now, over as many runs
   * as nothing was turned. Drift is what happens inside a segment; a step from one to the next is an adjustment.
   */
  readonly segment: number;
}

/** One nominal point in one direction over the runs of a stretch. */
export interface DriftSeries {
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly limit_percent_span: number;
  readonly points: readonly SeriesPoint[];
}

const pointIn = (stage: FactStage | null, like: Pick<FactPoint, "nominal_percent" | "direction">): FactPoint | null =>
  stage?.points.find(
    (p) => p.nominal_percent === like.nominal_percent && p.direction === like.direction && !p.clipped,
  ) ?? null;

const uOf = (point: FactPoint): number | null =>
  point.U_percent_span === null || point.k === null ? null : point.U_percent_span / point.k;

const seriesOf = (stretch: readonly Finding[], like: FactPoint): DriftSeries => {
  const points: SeriesPoint[] = [];
  let segment = 0;
  for (const { fact, date } of stretch) {
    // A point that was not read, or with the output at a stop, is a result less: the unit stood where it stood.
    const add = (what: SeriesPoint["what"], point: FactPoint | null): void => {
      if (point === null) return;
      points.push({ run_id: fact.run_id, date, what, error: point.error_percent_span, u: uOf(point), segment });
    };
    add("found", pointIn(fact.as_found, like));
    if (fact.adjusted) segment += 1;
    if (fact.adjusted || fact.as_left !== null) add("left", pointIn(fact.as_left, like));
  }
  const { nominal_percent, direction, limit_percent_span } = like;
  return { nominal_percent, direction, limit_percent_span, points };
};

/** The points of the last calibration, each over the stretch that leads to it. */
export const driftSeries = (history: UnitHistory): readonly DriftSeries[] => {
  const last = history.stretch.at(-1);
  const stage = last === undefined ? null : leftOf(last.fact);
  return (stage?.points ?? [])
    .toSorted((a, b) => a.nominal_percent - b.nominal_percent || (a.direction < b.direction ? 1 : -1))
    .filter((point) => !point.clipped)
    .map((point) => seriesOf(history.stretch, point));
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
