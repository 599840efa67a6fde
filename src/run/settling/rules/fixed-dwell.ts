import type { SettlingChoice } from "../../../plan/test-plan.ts";
import type { SettlingRule } from "../settling-rule.ts";
import { settledOn, spreadOf } from "./window.ts";
import { windowedRule } from "./windowed-rule.ts";

/**
 * Waits a fixed time and averages. It cannot say that an output hunts or drifts, and a lag that outlasts it becomes
 * false hysteresis; offered because many procedures are written that way.
 */
export const fixedDwellRule = (choice: Extract<SettlingChoice, { rule: "fixed-dwell" }>): SettlingRule =>
  windowedRule({
    window_s: choice.average_s,
    minimum_s: choice.dwell_s + choice.average_s,
    timeout_s: null,
    moving_slope: 0.1,
    // Nothing is known of what is still to come; the spread over the mean's window is the only evidence.
    judge: (values) =>
      values.length === 0 ? null : settledOn(values, spreadOf(values.map((v) => v.value)) / Math.sqrt(12)),
  });
