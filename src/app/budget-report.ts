import { type BudgetModel, parseBudgetModel } from "../uncertainty/budget/budget-model.ts";
import { budgetText, firstOrderText, setBySetLines } from "../uncertainty/budget/budget-text.ts";
import type { MethodsSideBySide } from "../uncertainty/budget/compare-methods.ts";
import { type FirstOrder, propagateFirstOrder } from "../uncertainty/budget/first-order.ts";
import { runBudget } from "../uncertainty/budget/run-budget.ts";
import { setBySet } from "../uncertainty/budget/set-by-set.ts";
import type { TrialChoice } from "../uncertainty/monte-carlo/monte-carlo.ts";
import { sfc32 } from "../uncertainty/monte-carlo/random-words.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { NamedText } from "./job-files.ts";
import { refusedFile } from "./refused-file.ts";

export interface BudgetChoice {
  /** Goes before the coverage probability in the file; 0 to 1. */
  readonly coverage?: number;
  /** null: without Monte Carlo. */
  readonly trials: "adaptive" | number | null;
  readonly most?: number;
  readonly seed: number;
}

export interface BudgetAnswer {
  readonly text: string;
  readonly json: object;
  /** Every first-order interval held against Monte Carlo; null without it. */
  readonly validated: boolean | null;
}

/** Trials of the adaptive procedure before it gives up and says so: a few seconds. */
const MOST_TRIALS = 4e6;

/** `95 %`, `0.95`. */
export const coverageOf = (text: string): Result<number, Fault> => {
  const [, number = "", percent = ""] = /^\s*([\d.]+)\s*(%?)\s*$/u.exec(text) ?? [];
  const value = Number(percent === "%" ? `${number}e-2` : number);
  return number !== "" && value > 0 && value < 1
    ? ok(value)
    : err(
        fault("refused", "bad-option", `"${text}" is not a coverage probability.`, {
          remedy: "Write it as 95 % or 0.95; it lies between 0 and 1.",
        }),
      );
};

const modelJson = (model: BudgetModel) => ({
  title: model.title,
  coverage: model.coverage,
  ...(model.coverage_factor === undefined ? {} : { coverage_factor: model.coverage_factor }),
  interval: model.interval,
  inputs: model.inputs,
  outputs: model.outputs.map(({ name, unit, text }) => ({ name, unit, model: text })),
  correlation: model.correlated ? model.correlation : null,
});

const sideJson = ({ first_order, monte_carlo, comparison, second_order_comparison }: MethodsSideBySide) => ({
  first_order,
  monte_carlo,
  comparison,
  second_order_comparison,
});

const notDefined = (first: FirstOrder): Fault =>
  fault("refused", "bad-file", `The model of "${first.output}", or a slope of it, is no number at the estimates.`, {
    means: "Nothing can be propagated from there.",
    remedy: "Check the values of the inputs and the formula.",
  });

/** Text of a budget file to both methods side by side. The seed decides every trial: same seed, same answer. */
export const budgetAnswer = ({ name, text }: NamedText, choice: BudgetChoice): Result<BudgetAnswer, Fault> => {
  const parsed = parseBudgetModel(text, name);
  if (!parsed.ok) return refusedFile(parsed.fault);
  const { coverage_factor: _agreed, ...rest } = parsed.value;
  // A coverage probability on the command line goes before the agreed factor of the file.
  const model: BudgetModel = choice.coverage === undefined ? parsed.value : { ...rest, coverage: choice.coverage };
  if (choice.trials === null) {
    const first = propagateFirstOrder(model);
    const lost = first.outputs.find((o) => !Number.isFinite(o.y) || !Number.isFinite(o.u));
    if (lost !== undefined) return err(notDefined(lost));
    return ok({
      text: [firstOrderText(model, first), ...setBySetLines(setBySet(model))].join("\n"),
      json: {
        format: "stillpoint-budget-result 1",
        model: modelJson(model),
        outputs: first.outputs.map((first_order) => ({ first_order, monte_carlo: null })),
        output_correlation: first.correlation,
        set_by_set: setBySet(model),
        monte_carlo: null,
      },
      validated: null,
    });
  }
  const trials: TrialChoice =
    choice.trials === "adaptive"
      ? { trials: "adaptive", for_validation: true, most: choice.most ?? MOST_TRIALS }
      : { trials: choice.trials };
  const report = runBudget(model, sfc32(choice.seed), trials);
  if (!report.ok) return report;
  const { first_order, monte_carlo, outputs } = report.value;
  return ok({
    text: [budgetText(report.value), ...setBySetLines(setBySet(model))].join("\n"),
    json: {
      format: "stillpoint-budget-result 1",
      model: modelJson(model),
      outputs: outputs.map(sideJson),
      output_correlation: first_order.correlation,
      set_by_set: setBySet(model),
      monte_carlo,
    },
    validated: outputs.every((o) => o.comparison.validated),
  });
};
