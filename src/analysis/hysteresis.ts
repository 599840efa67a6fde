import type { Figure } from "./analysis.ts";
import { cellsAt, type ErrorCurves, largest } from "./error-curves.ts";
import { CFR_3175_135, DKD_R_6_1, ISA_51_1 } from "./sources.ts";
import { mean } from "./statistics.ts";

/** Difference falling minus rising at one nominal point inside one cycle, % of output span. */
interface BranchDifference {
  readonly nominal_percent: number;
  readonly cycle: number;
  readonly falling_minus_rising: number;
}

/** Pairs are made inside one cycle and never across two, whatever end the cycle started from. */
const branchDifferences = (curves: ErrorCurves): readonly BranchDifference[] =>
  curves.nominal_percents.flatMap((percent) => {
    const falling = cellsAt(curves, percent, "falling");
    return cellsAt(curves, percent, "rising").flatMap((up) => {
      const down = falling.find((c) => c.cycle === up.cycle);
      if (down === undefined) return [];
      return [
        { nominal_percent: percent, cycle: up.cycle, falling_minus_rising: down.error_percent - up.error_percent },
      ];
    });
  });

/**
 * A run up and down measures hysteresis and dead band together. Hysteresis alone is given only when the dead band is
 * known from its own test, in % of input span (which is as many % of output span along a linear characteristic).
 */
export const hysteresisFigures = (curves: ErrorCurves, deadBand: number | null): readonly Figure[] => {
  const pairs = branchDifferences(curves);
  const worst = largest(pairs, (p) => p.falling_minus_rising);
  if (worst === null) return [];
  const sum = Math.abs(worst.value);
  const at_percent = worst.item.nominal_percent;
  const figures: Figure[] = [
    {
      id: "hysteresis-plus-dead-band",
      name: "Hysteresis plus dead band",
      value: sum,
      unit: "%span",
      definition: `largest difference between the falling and the rising reading at the same point inside one cycle, percent of the nominal output span (cycle ${worst.item.cycle}, falling ${worst.value < 0 ? "below" : "above"} rising)`,
      source: CFR_3175_135,
      at_percent,
    },
  ];
  const means = curves.nominal_percents.flatMap((percent) => {
    const here = pairs.filter((p) => p.nominal_percent === percent);
    return here.length === 0 ? [] : [{ percent, value: mean(here.map((p) => Math.abs(p.falling_minus_rising))) }];
  });
  const worstMean = largest(means, (m) => m.value);
  if (worstMean !== null) {
    figures.push({
      id: "hysteresis-mean",
      name: "Hysteresis plus dead band, mean over the cycles",
      value: worstMean.value,
      unit: "%span",
      definition:
        "at each point the mean over the cycles of the difference between falling and rising reading without its sign; the largest of these",
      source: DKD_R_6_1,
      at_percent: worstMean.item.percent,
    });
  }
  const atZero = largest(
    pairs.filter((p) => Math.abs(p.nominal_percent) < 1e-6),
    (p) => p.falling_minus_rising,
  );
  if (atZero !== null && curves.levels.some((l) => Math.abs(l.nominal_percent) < 1e-6)) {
    figures.push({
      id: "zero-deviation",
      name: "Zero deviation f0",
      value: Math.abs(atZero.value),
      unit: "%span",
      definition:
        "reading at 0 % of output span at the end of a cycle minus the reading there at its start, without sign; the largest of all cycles, percent of the nominal output span",
      source: DKD_R_6_1,
      at_percent: 0,
    });
  }
  if (deadBand !== null && curves.transfer.characteristic === "linear") {
    figures.push({
      id: "hysteresis",
      name: "Hysteresis",
      value: Math.max(0, sum - deadBand),
      unit: "%span",
      definition: "hysteresis plus dead band, minus the dead band found by its own test; not less than 0",
      source: ISA_51_1,
      at_percent,
    });
  }
  return figures;
};
