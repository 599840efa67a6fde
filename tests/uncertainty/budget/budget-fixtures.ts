import { type BudgetModel, parseBudgetModel } from "../../../src/uncertainty/budget/budget-model.ts";

/** Models are written as files, so that what a user writes is what is tested. */
export const modelOf = (text: string): BudgetModel => published(`format: stillpoint-budget 1\n${text}`);

/** A whole budget file. */
export const published = (text: string): BudgetModel => {
  const parsed = parseBudgetModel(text, "model.yaml");
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.fault));
  return parsed.value;
};
