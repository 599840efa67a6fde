import {
  isFinal,
  type PointStart,
  type SettlingRule,
  type SettlingSample,
  type SettlingVerdict,
} from "./settling-rule.ts";

/** What a gauge showed over one wait. Times on any clock, values in % of output span. */
export interface RecordedWait {
  readonly start: PointStart;
  readonly samples: readonly SettlingSample[];
}

/** One sample and what the rule made of it; null where it was not shown to the rule, before the command or after its last word. */
export interface Moment {
  /** Since the last command of the approach. */
  readonly t_s: number;
  readonly value: number | null;
  readonly verdict: SettlingVerdict | null;
}

export interface ReplayedWait {
  readonly start: PointStart;
  readonly moments: readonly Moment[];
  /** The last word, or null when the samples end before there is one. */
  readonly final: SettlingVerdict | null;
  /** When it was said, since the command; null like `final`. */
  readonly decided_s: number | null;
  /** What the rule had learned by then. */
  readonly learned: readonly string[];
}

/** Feeds recorded waits to a rule, sample by sample and in order, so that it learns from each for the next, as in a run. */
export const replay = (rule: SettlingRule, waits: readonly RecordedWait[]): readonly ReplayedWait[] =>
  waits.map(({ start, samples }) => {
    rule.begin(start);
    let final: SettlingVerdict | null = null;
    let decided_s: number | null = null;
    const moments = samples.map((sample): Moment => {
      const t_s = sample.time_s - start.at_s;
      if (final !== null || t_s < 0) return { t_s, value: sample.value, verdict: null };
      const verdict = rule.take(sample);
      if (isFinal(verdict)) {
        final = verdict;
        decided_s = t_s;
      }
      return { t_s, value: sample.value, verdict };
    });
    return { start, moments, final, decided_s, learned: rule.learned() };
  });
