import type { ExaminationPlot } from "./examination-plot.ts";

export interface PlotWindow {
  readonly x: readonly [least: number, most: number];
  readonly y: readonly [least: number, most: number];
}

const span = (values: readonly number[]): readonly [number, number] => {
  const [least, most] = values.reduce(
    ([a, b], v) => [Math.min(a, v), Math.max(b, v)],
    [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
  );
  if (!Number.isFinite(least)) return [0, 1];
  const room = most > least ? 0.04 * (most - least) : Math.abs(least) * 0.01 || 0.5;
  return [least - room, most + room];
};

/** Both axes, with a little room round what is drawn. */
export const windowOf = (plot: ExaminationPlot): PlotWindow => {
  const points = plot.series.flatMap((s) => s.points);
  return { x: span(points.map(([x]) => x)), y: span(points.map(([, y]) => y)) };
};

/** A number short enough for an axis, fine enough to tell its ends apart. */
export const axisText = (value: number, [least, most]: readonly [number, number]): string => {
  const digits = Math.max(0, Math.min(4, 2 - Math.floor(Math.log10(Math.max(most - least, 1e-9)))));
  return value.toFixed(digits);
};
