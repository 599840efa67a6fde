import { kPa, mA } from "../vocabulary/quantities.ts";
import type { Direction } from "../vocabulary/reading.ts";
import { idealOutput, percentOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { LevelError, PointError } from "./analysis.ts";
import { mean } from "./statistics.ts";

/** The reading of one direction of one cycle at one nominal point; the mean where the plan asked for it twice. */
export interface Cell {
  readonly nominal_percent: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly error_percent: number;
}

/** The readings of a stage as curves of the error over the ideal output, both in % of output span. */
export interface ErrorCurves {
  readonly transfer: Transfer;
  readonly points: readonly PointError[];
  readonly cells: readonly Cell[];
  readonly cycles: readonly number[];
  /** Nominal points, from the lowest output up. */
  readonly nominal_percents: readonly number[];
  /** Averages over the cycles; a nominal point with a reading at a stop is left out. */
  readonly levels: readonly LevelError[];
}

/** Nominal points that agree to a millionth of a percent are one and the same. */
const key = (percent: number): number => Math.round(percent * 1e6);

export const sameLevel = (a: number, b: number): boolean => key(a) === key(b);

export const errorCurves = (points: readonly PointError[], transfer: Transfer): ErrorCurves => {
  const percents = [...new Map(points.map((p) => [key(p.nominal_percent), p.nominal_percent])).values()].toSorted(
    (a, b) => a - b,
  );
  const cycles = [...new Set(points.map((p) => p.cycle))].toSorted((a, b) => a - b);
  const cells = percents.flatMap((percent) => {
    const here = points.filter((p) => sameLevel(p.nominal_percent, percent));
    return cycles.flatMap((cycle) =>
      (["rising", "falling"] as const).flatMap((direction): readonly Cell[] => {
        const readings = here.filter((p) => p.cycle === cycle && p.direction === direction);
        if (readings.length === 0) return [];
        return [
          {
            nominal_percent: percent,
            cycle,
            direction,
            error_percent: mean(readings.map((p) => p.error_percent_span)),
          },
        ];
      }),
    );
  });
  const levels = percents.flatMap((percent) => {
    const here = points.filter((p) => sameLevel(p.nominal_percent, percent));
    const [first] = here;
    if (first === undefined || here.some((p) => p.clipped !== "none")) return [];
    return [levelError(percent, idealOutput(transfer, mA(first.nominal_mA)), cells)];
  });
  return { transfer, points, cells, cycles, nominal_percents: percents, levels };
};

const levelError = (percent: number, ideal_kPa: number, cells: readonly Cell[]): LevelError => {
  const at = (direction: Direction): readonly number[] =>
    cells.filter((c) => c.nominal_percent === percent && c.direction === direction).map((c) => c.error_percent);
  const rising = at("rising");
  const falling = at("falling");
  const up = rising.length === 0 ? null : mean(rising);
  const down = falling.length === 0 ? null : mean(falling);
  return {
    nominal_percent: percent,
    ideal_kPa,
    rising_percent_span: up,
    falling_percent_span: down,
    mean_percent_span: mean([up, down].filter((v) => v !== null)),
    n_rising: rising.length,
    n_falling: falling.length,
  };
};

/** Where a level stands on the ideal output, % of output span: the abscissa of every fit. */
export const abscissa = (transfer: Transfer, ideal_kPa: number): number => percentOf(transfer.output, kPa(ideal_kPa));

/** Cells of one direction at one nominal point, one a cycle. */
export const cellsAt = (curves: ErrorCurves, percent: number, direction: Direction): readonly Cell[] =>
  curves.cells.filter((c) => c.nominal_percent === percent && c.direction === direction);

/** Ideal output at the nominal current of a reading, % of output span. */
export const nominalAbscissa = (transfer: Transfer, point: PointError): number =>
  percentOf(transfer.output, idealOutput(transfer, mA(point.nominal_mA)));

/** Magnitudes (% of span) that differ by less are equal, and rounding does not choose between their places. */
const EQUAL_PERCENT = 1e-9;

/** The largest by magnitude, with the first place at which it occurs; null of nothing. */
export const largest = <T>(items: readonly T[], value: (item: T) => number): { item: T; value: number } | null => {
  const values = items.map(value);
  const most = values.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
  const index = values.findIndex((v) => Math.abs(v) >= most - EQUAL_PERCENT);
  const item = items[index];
  return item === undefined ? null : { item, value: values[index] ?? Number.NaN };
};
