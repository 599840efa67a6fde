import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { type MonteCarloResult, monteCarlo, type TrialChoice } from "../monte-carlo/monte-carlo.ts";
import type { RandomWords } from "../monte-carlo/random-words.ts";
import type { BudgetModel } from "./budget-model.ts";
import { type MethodsSideBySide, sideBySide } from "./compare-methods.ts";
import { type FirstOrderResult, propagateFirstOrder } from "./first-order.ts";

export interface BudgetReport {
  readonly model: BudgetModel;
  readonly first_order: FirstOrderResult;
  readonly monte_carlo: Omit<MonteCarloResult, "outputs">;
  /** Both methods for each output, with what the comparison says. */
  readonly outputs: readonly MethodsSideBySide[];
}

/** A few seconds at most; where that does not reach a fifth of the tolerance, the report says what was reached. */
const TRIALS_UNLESS_TOLD: TrialChoice = { trials: "adaptive", for_validation: true, most: 4e6 };

/** Propagation of uncertainties and of distributions, side by side. The words decide every trial: same words, same report. */
export const runBudget = (
  model: BudgetModel,
  words: RandomWords,
  choice: TrialChoice = TRIALS_UNLESS_TOLD,
): Result<BudgetReport, Fault> => {
  const first_order = propagateFirstOrder(model);
  const lost = first_order.outputs.find((o) => !Number.isFinite(o.y) || !Number.isFinite(o.u));
  if (lost !== undefined) {
    return err(
      fault("refused", "bad-file", `The model of "${lost.output}", or a slope of it, is no number at the estimates.`, {
        means: "Nothing can be propagated from there.",
        remedy: "Check the values of the inputs and the formula.",
      }),
    );
  }
  const trials = monteCarlo(model, words, choice);
  if (!trials.ok) return trials;
  const { outputs, ...monte_carlo } = trials.value;
  return ok({
    model,
    first_order,
    monte_carlo,
    outputs: first_order.outputs.flatMap((first, i) => {
      const monte = outputs[i];
      return monte === undefined ? [] : sideBySide(first, monte, model.digits);
    }),
  });
};
