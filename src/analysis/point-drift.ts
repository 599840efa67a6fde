import type { Figure } from "./analysis.ts";

export interface OutputSample {
  readonly at_s: number;
  readonly output_kPa: number;
}

/** Change of the output at a constant input over the time of the samples; null below two samples. */
export const pointDriftFigure = (
  samples: readonly OutputSample[],
  span_kPa: number,
  at_percent: number,
): Figure | null => {
  if (samples.length < 2) return null;
  let [low, high, from, to] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const { at_s, output_kPa } of samples) {
    low = Math.min(low, output_kPa);
    high = Math.max(high, output_kPa);
    from = Math.min(from, at_s);
    to = Math.max(to, at_s);
  }
  return {
    id: "point-drift",
    name: "Point drift",
    value: (100 * (high - low)) / span_kPa,
    unit: "%span",
    definition: `largest change of the output at a constant input over ${Number((to - from).toFixed(1))} s, percent of the ideal output span`,
    source: "ISA procedure for point drift, as summarised in lecture notes on ANSI/ISA-51.1",
    at_percent,
  };
};
