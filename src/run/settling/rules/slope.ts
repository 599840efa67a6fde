import type { SettlingChoice } from "../../../plan/test-plan.ts";
import type { SettlingRule } from "../settling-rule.ts";
import { lineThrough, settledOn } from "./window.ts";
import { windowedRule } from "./windowed-rule.ts";

/**
 * Settled when the slope over a window is surely small: |slope| plus its 95 % interval below the limit. Asking only
 * that a slope be not significant would pass everything noisy (two one-sided tests: Schuirmann 1987).
 */
export const slopeRule = (choice: Extract<SettlingChoice, { rule: "slope" }>): SettlingRule => {
  const limit = choice.slope_percent_per_min / 60;
  return windowedRule({
    window_s: choice.window_s,
    minimum_s: choice.window_s,
    timeout_s: choice.timeout_s,
    moving_slope: limit * 10,
    judge: (values) => {
      const line = lineThrough(values);
      return line !== null && Math.abs(line.slope) + line.halfWidth <= limit
        ? settledOn(values, (Math.abs(line.slope) * choice.window_s) / Math.sqrt(3))
        : null;
    },
  });
};
