import type { SettlingChoice } from "../../../plan/test-plan.ts";
import type { SettlingRule } from "../settling-rule.ts";
import { settledOn } from "./window.ts";
import { windowedRule } from "./windowed-rule.ts";

/** Settled when all readings of a window lie within a band. Blind to slow creep: `u_residual` is half the band as rectangle. */
export const bandRule = (choice: Extract<SettlingChoice, { rule: "band" }>): SettlingRule =>
  windowedRule({
    window_s: choice.window_s,
    minimum_s: choice.window_s,
    timeout_s: choice.timeout_s,
    moving_slope: choice.band_percent / choice.window_s,
    judge: (values) => {
      if (values.length < 2) return null;
      const seen = values.map((v) => v.value);
      return Math.max(...seen) - Math.min(...seen) <= choice.band_percent
        ? settledOn(values, choice.band_percent / 2 / Math.sqrt(3))
        : null;
    },
  });
