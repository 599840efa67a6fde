import type { Figure, StageAnalysis } from "./analysis.ts";
import { largest, sameLevel } from "./error-curves.ts";
import { ISA_51_1 } from "./sources.ts";

/** Spread of several runs of the same unit over time; null below two runs or without a common point. */
export const reproducibilityFigure = (runs: readonly StageAnalysis[]): Figure | null => {
  const [first, ...others] = runs;
  if (first === undefined || others.length === 0) return null;
  const errorsAt = (run: StageAnalysis, percent: number): readonly number[] =>
    run.points.filter((p) => sameLevel(p.nominal_percent, percent)).map((p) => p.error_percent_span);
  const percents = [...new Set(first.points.map((p) => p.nominal_percent))].toSorted((a, b) => a - b);
  const spreads = percents.flatMap((percent) => {
    const perRun = runs.map((run) => errorsAt(run, percent));
    if (perRun.some((errors) => errors.length === 0)) return [];
    const all = perRun.flat();
    return [{ percent, value: Math.max(...all) - Math.min(...all) }];
  });
  const worst = largest(spreads, (s) => s.value);
  if (worst === null) return null;
  return {
    id: "reproducibility",
    name: "Reproducibility",
    value: worst.value,
    unit: "%span",
    definition: `largest spread of the errors at one point over ${runs.length} runs, both directions together, percent of the nominal output span; it contains hysteresis, dead band, drift and repeatability`,
    source: ISA_51_1,
    at_percent: worst.item.percent,
  };
};
