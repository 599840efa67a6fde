import { type BudgetModel, parseBudgetModel } from "../../../src/uncertainty/budget/budget-model.ts";

/** Models are written as files, so that what a user writes is what is tested. */
export const modelOf = (text: string): BudgetModel => {
  const parsed = parseBudgetModel(`format: stillpoint-budget 1\n${text}`, "model.yaml");
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.fault));
  return parsed.value;
};
