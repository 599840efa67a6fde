import type { PointStart, SettlingRule, SettlingSample, SettlingVerdict } from "../settling-rule.ts";
import { settledOn, type TimedValue } from "./window.ts";

export interface HandReadSettings {
  /** How far two readings of a pressure at rest may lie apart, % of span: what the person can make out on the dial. */
  readonly readable_percent: number;
}

/** No reading counts sooner after the last command; the unit and its tubing follow within that. Common practice, no source. */
const LEAST_S = 10;
/** Two readings that are to show rest lie at least this far apart, s. */
const APART_S = 5;
/** A person may be called away; then the point is given up, s. */
const SILENT_S = 1900;
const TIMEOUT_S = 3600;

/**
 * For a gauge that a person reads: a reading comes every some seconds at best, so there is no slope to look at. The output
 * stands still when two readings one after the other, a few seconds apart, agree within what can be read. What moves by
 * less than that cannot be seen; it goes into the uncertainty as a movement still to come (rectangular).
 */
export const handReadRule = ({ readable_percent }: HandReadSettings): SettlingRule => {
  let begun_s = 0;
  let least_s = LEAST_S;
  let last_s = 0;
  let before: TimedValue | null = null;
  return {
    begin: (start: PointStart) => {
      begun_s = start.at_s;
      last_s = start.at_s;
      least_s = Math.max(LEAST_S, start.least_s ?? 0);
      before = null;
    },
    take: ({ time_s, value }: SettlingSample): SettlingVerdict => {
      const waited_s = time_s - begun_s;
      if (value === null) {
        if (time_s - last_s >= SILENT_S) return { kind: "no-new-data", for_s: time_s - last_s };
        return waited_s >= TIMEOUT_S
          ? { kind: "not-settled", waited_s }
          : { kind: "settling", expected_s: null, confidence: 0 };
      }
      last_s = time_s;
      const now = { time_s, value };
      if (waited_s < least_s) return { kind: "moving", expected_s: least_s - waited_s, confidence: 0 };
      // A hair of slack for decimal fractions that have no exact binary form.
      const agrees = before !== null && Math.abs(value - before.value) <= readable_percent * (1 + 1e-9);
      if (before !== null && agrees && time_s - before.time_s >= APART_S) {
        return settledOn([before, now], readable_percent / Math.sqrt(12));
      }
      // One that agrees but came too soon: the earlier one stays, so that the two end far enough apart.
      if (!agrees) before = now;
      return waited_s >= TIMEOUT_S
        ? { kind: "not-settled", waited_s }
        : { kind: "settling", expected_s: APART_S, confidence: 0 };
    },
    learned: () => [],
  };
};
