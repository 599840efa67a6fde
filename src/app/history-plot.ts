import { addDays, addMonths, type Day, dayNumber, dayOfNumber, daysBetween } from "../history/calendar-days.ts";
import type { FactStage } from "../history/calibration-fact.ts";
import { seriesName } from "../history/drift-series.ts";
import type { PointDrift } from "../history/unit-drift.ts";
import { leftOf, type UnitHistory } from "../history/unit-history.ts";
import { tickDigits, ticks } from "./replay-window.ts";

const MARGIN = 9;
const ROWS = 15;
/** Marks from weak to strong: a stronger one is never covered. */
const MARKS = " |.=:xo";

/** Which point is drawn: where it stands, its limit, and its drift when there is one. */
export interface PlottedPoint {
  readonly nominal_percent: number;
  readonly direction: "rising" | "falling";
  readonly limit_percent_span: number;
  readonly drift: PointDrift | null;
}

const errorIn = (stage: FactStage | null, at: PlottedPoint): number | null =>
  stage?.points.find((p) => p.nominal_percent === at.nominal_percent && p.direction === at.direction)
    ?.error_percent_span ?? null;

/** Last day of the picture: what is foretold takes no more room than what was seen, or a year. */
const lastDay = (first: Day, last: Day, wanted: Day | null): Day => {
  const most = addDays(last, Math.max(366, daysBetween(first, last)));
  const end = wanted === null || wanted < addDays(last, 183) ? addDays(last, 183) : wanted;
  if (end > most) return most;
  return end;
};

const MONTH_STEPS = [1, 2, 3, 6, 12, 24, 60, 120, 240];

/** First days of months, a round number of months apart, about `most` of them. */
const monthTicks = (from: Day, to: Day, most: number): readonly Day[] => {
  const months = daysBetween(from, to) / 30.4;
  const step = MONTH_STEPS.find((s) => months / s <= most) ?? 240;
  const [year = 0, month = 1] = from.split("-").map(Number);
  const found: Day[] = [];
  const start = Math.ceil((year * 12 + month - 1) / step) * step;
  for (let i = 0; i <= most + 1; i += 1) {
    const day = addMonths("0000-01-01", start + i * step);
    if (day >= from && day <= to) found.push(day);
  }
  return found;
};

/** Errors of one point over the calibrations, the limits, and the band in which the next result is expected. */
export const historyPlot = (
  history: UnitHistory,
  point: PlottedPoint,
  until: Day | null,
  width: number,
): readonly string[] => {
  const seen = history.findings.flatMap(({ fact, date }) => {
    const [found, left] = [errorIn(fact.as_found, point), fact.adjusted ? errorIn(leftOf(fact), point) : null];
    return found === null && left === null ? [] : [{ date, found, left }];
  });
  const [first, last] = [seen[0], seen.at(-1)];
  if (first === undefined || last === undefined) return [];
  const columns = Math.max(20, Math.min(width, 160) - MARGIN - 2);
  const end = lastDay(first.date, last.date, until);
  const zero = dayNumber(first.date);
  const days = Math.max(1, dayNumber(end) - zero);
  const columnOf = (day: Day): number => Math.round(((dayNumber(day) - zero) / days) * (columns - 1));
  const limit = point.limit_percent_span;
  const high = 1.1 * Math.max(limit, ...seen.flatMap((s) => [Math.abs(s.found ?? 0), Math.abs(s.left ?? 0)]));
  const rowOf = (value: number): number => Math.round(((high - value) / (2 * high)) * (ROWS - 1));
  const grid = Array.from({ length: ROWS }, () => Array.from({ length: columns }, () => " "));
  const put = (row: number, column: number, mark: string): void => {
    const line = grid[row];
    if (line !== undefined && MARKS.indexOf(mark) > MARKS.indexOf(line[column] ?? " ")) line[column] = mark;
  };
  for (let column = 0; column < columns; column += 1) {
    put(rowOf(limit), column, "=");
    put(rowOf(-limit), column, "=");
    const day = dayOfNumber(zero + Math.round((column / (columns - 1)) * days));
    if (point.drift === null || day < last.date) continue;
    const { error, next } = point.drift.at(day);
    put(rowOf(error), column, ".");
    put(rowOf(error + next), column, ":");
    put(rowOf(error - next), column, ":");
  }
  for (const { date } of history.interruptions) {
    for (let row = 0; row < ROWS && date >= first.date; row += 1) put(row, columnOf(date), "|");
  }
  for (const { date, found, left } of seen) {
    if (left !== null) put(rowOf(left), columnOf(date), "x");
    if (found !== null) put(rowOf(found), columnOf(date), "o");
  }
  const at = ticks({ low: -high, high }, 7);
  const labels = new Map(at.map((value) => [rowOf(value), value.toFixed(tickDigits(at))]));
  const axis = Array.from({ length: columns }, () => "-");
  const below = Array.from({ length: columns }, () => " ");
  for (const day of monthTicks(first.date, end, Math.floor(columns / 12))) {
    const column = columnOf(day);
    axis[column] = "+";
    const from = Math.max(0, Math.min(columns - 7, column - 3));
    [...day.slice(0, 7)].forEach((c, i) => {
      below[from + i] = c;
    });
  }
  const gutter = (text: string): string => `${text.padStart(MARGIN - 1)} `;
  return [
    `${history.simulated ? "SIMULATED  " : ""}Error at ${seriesName(point)}, % of output span`,
    ...grid.map((line, row) => {
      const label = labels.get(row);
      return `${gutter(label ?? "")}${label === undefined ? "|" : "+"}${line.join("")}`.trimEnd();
    }),
    `${gutter("")}+${axis.join("")}`,
    `${gutter("")} ${below.join("")}`.trimEnd(),
    `o found  x left after turning a screw  = limit${history.interruptions.length === 0 ? "" : "  | interruption"}`,
    ...(point.drift === null
      ? []
      : [
          `. line  : ${(100 * point.drift.trend.confidence).toFixed(0)} % interval of the next result, from where the unit was left`,
        ]),
  ];
};
