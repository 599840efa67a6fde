import type { SettlingChoice } from "../../../plan/test-plan.ts";
import type { SettlingRule, SettlingVerdict } from "../settling-rule.ts";
import { lineThrough, meanOf, settledOn, spreadOf, type TimedValue } from "./window.ts";
import { windowedRule } from "./windowed-rule.ts";

const WINDOW_S = 10;

/** Changes of side about the mean, with a band that noise does not cross: [times of the changes]. */
const crossings = (values: readonly TimedValue[], band: number): readonly number[] => {
  const mean = meanOf(values.map((v) => v.value));
  let side = 0;
  return values.flatMap((v) => {
    const now = v.value > mean + band ? 1 : v.value < mean - band ? -1 : 0;
    if (now === 0 || now === side) return [];
    const first = side === 0;
    side = now;
    return first ? [] : [v.time_s];
  });
};

/**
 * Two one-sided tests on the drift over ten seconds: settled when drift plus its 95 % interval stays below
 * gamma times the limit. Over the units of the settling study its ratio is 1.95 at 0.5 % falsely settled.
 */
export const equivalenceRule = (choice: Extract<SettlingChoice, { rule: "detector" }>): SettlingRule => {
  const allowed = choice.gamma * choice.limit_percent;
  const diagnose = (values: readonly TimedValue[]): SettlingVerdict | null => {
    const seen = values.map((v) => v.value);
    if (seen.length < 10) return null;
    const times = crossings(values, Math.max(0.45 * choice.limit_percent, spreadOf(seen) / 2));
    const [first, last] = [times[0], times.at(-1)];
    if (times.length >= 7 && first !== undefined && last !== undefined)
      return {
        kind: "hunting",
        centre: meanOf(seen),
        amplitude: (Math.max(...seen) - Math.min(...seen)) / 2,
        period_s: (2 * (last - first)) / (times.length - 1),
      };
    const line = lineThrough(values);
    return line !== null && Math.abs(line.slope) * 60 > line.halfWidth * 60 + choice.limit_percent
      ? { kind: "drifting", rate_per_min: line.slope * 60 }
      : null;
  };
  return windowedRule({
    window_s: WINDOW_S,
    minimum_s: Math.max(WINDOW_S, choice.minimum_dwell_s),
    timeout_s: choice.timeout_s,
    moving_slope: choice.limit_percent,
    judge: (values) => {
      const line = lineThrough(values);
      if (line === null || (Math.abs(line.slope) + line.halfWidth) * WINDOW_S > allowed) return null;
      // A swing has no drift over whole periods, so the spread about the line is held as well.
      return line.residual > Math.max(allowed, choice.limit_percent) ? null : settledOn(values, allowed / Math.sqrt(3));
    },
    diagnose,
  });
};
