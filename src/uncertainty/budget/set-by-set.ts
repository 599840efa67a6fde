import { mean, standardDeviation } from "../../analysis/statistics.ts";
import { type BudgetModel, correlationOfReadings } from "./budget-model.ts";
import { evaluate } from "./compile.ts";

/** One output worked out from each set of readings that were taken together, then averaged. */
export interface SetBySetOutput {
  readonly output: string;
  readonly unit: string;
  readonly y: number;
  /** Standard deviation of the mean over the sets. */
  readonly u: number;
  readonly degrees_of_freedom: number;
  readonly of_each_set: readonly number[];
}

export interface SetBySet {
  readonly outputs: readonly SetBySetOutput[];
  readonly correlation: readonly (readonly (number | null)[])[];
}

/**
 * The second approach of JCGM 100:2008, H.2.4: the model at each set of readings, then the mean. It needs no correlation
 * between inputs, but readings of everything that is uncertain, equally many and taken together; null without them.
 */
export const setBySet = (model: BudgetModel): SetBySet | null => {
  const moving = model.inputs.filter((input) => input.u > 0);
  const n = moving[0]?.readings?.length ?? 0;
  if (n < 2 || moving.some((input) => input.readings?.length !== n)) return null;
  // Series of one length need not have been read together; who says that they belong together states their correlation.
  if (moving.length > 1 && !model.correlated) return null;
  const at = (set: number): ReadonlyMap<string, number> =>
    new Map(model.inputs.map((input) => [input.name, input.readings?.[set] ?? input.value]));
  const outputs = model.outputs.map(({ name, unit, expression }): SetBySetOutput => {
    const of_each_set = Array.from({ length: n }, (_, set) => evaluate(expression, at(set)));
    return {
      output: name,
      unit,
      y: mean(of_each_set),
      u: (standardDeviation(of_each_set) ?? 0) / Math.sqrt(n),
      degrees_of_freedom: n - 1,
      of_each_set,
    };
  });
  if (outputs.some((o) => !Number.isFinite(o.y))) return null;
  const pair = (a: SetBySetOutput, b: SetBySetOutput): number | null =>
    a.u * b.u === 0 ? null : correlationOfReadings(a.of_each_set, b.of_each_set);
  return { outputs, correlation: outputs.map((a) => outputs.map((b) => pair(a, b))) };
};
