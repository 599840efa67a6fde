import type { Figure } from "./analysis.ts";
import { type Cell, cellsAt, type ErrorCurves, largest } from "./error-curves.ts";
import { CFR_3175_135, DKD_R_6_1, IEC_61298_2 } from "./sources.ts";
import { standardDeviation } from "./statistics.ts";

/** The competing meanings of the word. The one that is used is printed with the figure. */
export type RepeatabilityMethod =
  | { readonly method: "range" }
  | { readonly method: "from-first-run" }
  | { readonly method: "standard-deviation"; readonly k: number }
  | { readonly method: "zero-corrected" };

export const DEFAULT_REPEATABILITY: RepeatabilityMethod = { method: "range" };

interface MethodText {
  readonly name: string;
  readonly definition: string;
  readonly source: string;
}

const textOf = (choice: RepeatabilityMethod): MethodText => {
  switch (choice.method) {
    case "range":
      return {
        name: "Repeatability (range)",
        definition:
          "largest difference between the readings of all cycles at one point in one direction, percent of the nominal output span",
        source: CFR_3175_135,
      };
    case "from-first-run":
      return {
        name: "Repeatability (from the first cycle)",
        definition:
          "largest difference between a reading and the reading of the first cycle at the same point in the same direction, percent of the nominal output span",
        source: "deviation from the first run, as in open load-cell test data after Wheeler and Ganji",
      };
    case "standard-deviation":
      return {
        name: `Repeatability (${choice.k} standard deviations)`,
        definition: `${choice.k} times the standard deviation (divisor n - 1) of the readings of all cycles at one point in one direction, the largest of all points, percent of the nominal output span`,
        source: "common practice, no source; standard deviation as in 40 CFR 1065.602(c)",
      };
    case "zero-corrected":
      return {
        name: "Repeatability (b', zero-corrected)",
        definition:
          "largest difference between the readings of two cycles at one point in one direction, each less the reading of its own series at the lowest point, percent of the nominal output span",
        source: DKD_R_6_1,
      };
  }
};

/** Empty below two cycles. */
export const repeatabilityFigures = (curves: ErrorCurves, choice: RepeatabilityMethod): readonly Figure[] => {
  const groups = sameApproach(curves);
  const spread = largest(groups, (g) => rangeOf(g.errors));
  if (spread === null) return [];
  const chosen =
    choice.method === "zero-corrected"
      ? largest(zeroCorrected(curves, groups), (g) => rangeOf(g.errors))
      : largest(groups, (g) => figureOf(g.errors, choice));
  const figures: Figure[] = [];
  if (chosen !== null) {
    figures.push({
      id: "repeatability",
      ...textOf(choice),
      value: chosen.value,
      unit: "%span",
      at_percent: chosen.item.percent,
    });
  }
  figures.push({
    id: "non-repeatability",
    name: "Non-repeatability",
    value: spread.value,
    unit: "%span",
    definition:
      "largest spread (highest minus lowest) of the readings of all cycles at one point in one direction, percent of the nominal output span",
    source: IEC_61298_2,
    at_percent: spread.item.percent,
  });
  return figures;
};

interface Approach {
  readonly percent: number;
  readonly cells: readonly Cell[];
  readonly errors: readonly number[];
}

/** Readings at one point approached from one side, over at least two cycles. */
const sameApproach = (curves: ErrorCurves): readonly Approach[] =>
  curves.nominal_percents.flatMap((percent) =>
    (["rising", "falling"] as const).flatMap((direction) => {
      const cells = cellsAt(curves, percent, direction);
      return cells.length < 2 ? [] : [{ percent, cells, errors: cells.map((c) => c.error_percent) }];
    }),
  );

/** Takes from each reading what its own series read at the lowest point; a series without such a reading drops out. */
const zeroCorrected = (curves: ErrorCurves, groups: readonly Approach[]): readonly Approach[] => {
  const lowest = curves.nominal_percents[0];
  return groups.flatMap(({ percent, cells }) => {
    const errors = cells.flatMap((cell) => {
      const zero = curves.cells.find(
        (c) => c.nominal_percent === lowest && c.cycle === cell.cycle && c.direction === cell.direction,
      );
      return zero === undefined ? [] : [cell.error_percent - zero.error_percent];
    });
    return errors.length < 2 ? [] : [{ percent, cells, errors }];
  });
};

const rangeOf = (errors: readonly number[]): number => Math.max(...errors) - Math.min(...errors);

const figureOf = (
  errors: readonly number[],
  choice: Exclude<RepeatabilityMethod, { readonly method: "zero-corrected" }>,
): number => {
  switch (choice.method) {
    case "range":
      return rangeOf(errors);
    case "from-first-run": {
      const [first = Number.NaN, ...later] = errors;
      return Math.max(...later.map((e) => Math.abs(e - first)));
    }
    case "standard-deviation":
      return choice.k * (standardDeviation(errors) ?? 0);
  }
};
