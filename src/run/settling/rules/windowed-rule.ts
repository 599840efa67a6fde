import type { PointStart, SettlingRule, SettlingSample, SettlingVerdict } from "../settling-rule.ts";
import { lineThrough, SampleWindow, type TimedValue } from "./window.ts";

/** Without any value for this long, the gauge is called silent. */
const SILENT_S = 5;

export interface WindowedSettings {
  readonly window_s: number;
  /** Least time from the last command. */
  readonly minimum_s: number;
  /** `null`: never given up, the rule decides by time alone. */
  readonly timeout_s: number | null;
  /** What an output must have fallen to before "moving" is called "settling", % of span per second. */
  readonly moving_slope: number;
  /** Settled on the readings of one full window, or not yet. */
  judge(values: readonly TimedValue[]): SettlingVerdict | null;
  /** A better word than "not settled" once the time is out. */
  diagnose?(values: readonly TimedValue[]): SettlingVerdict | null;
}

const lengthOf = (values: readonly TimedValue[]): number => (values.at(-1)?.time_s ?? 0) - (values[0]?.time_s ?? 0);

/** The frame all window rules share: wait for a full window, judge it, give up in time, notice silence. */
export const windowedRule = (settings: WindowedSettings): SettlingRule => {
  let window = new SampleWindow(0);
  return {
    begin: (start: PointStart) => {
      window = new SampleWindow(start.at_s);
    },
    take: (sample: SettlingSample): SettlingVerdict => {
      window.take(sample);
      const now = sample.time_s;
      if (window.silentFor(now) >= SILENT_S) return { kind: "no-new-data", for_s: window.silentFor(now) };
      const waited = now - window.begun_s;
      const values = window.trailing(settings.window_s, now);
      // Judged only on a fresh reading and a window that is filled: a gauge that went silent must not look steady.
      const filled = values !== null && (settings.timeout_s === null || lengthOf(values) >= settings.window_s / 2);
      if (sample.value !== null && filled && waited >= settings.minimum_s - 1e-9) {
        const verdict = settings.judge(values);
        if (verdict !== null) return verdict;
      }
      if (settings.timeout_s !== null && waited >= settings.timeout_s)
        return (
          settings.diagnose?.(window.trailing(Math.min(waited, 60), now) ?? []) ?? {
            kind: "not-settled",
            waited_s: waited,
          }
        );
      const line = lineThrough(window.trailing(Math.min(3, waited), now) ?? []);
      const moving = line === null || Math.abs(line.slope) > settings.moving_slope;
      const left = Math.max(settings.minimum_s, settings.window_s) - waited;
      return { kind: moving ? "moving" : "settling", expected_s: left > 0 ? left : null, confidence: 0 };
    },
    learned: () => [],
  };
};
