import { defer, map, type OperatorFunction, takeWhile } from "rxjs";
import {
  isFinal,
  type PointStart,
  type SettlingRule,
  type SettlingSample,
  type SettlingVerdict,
} from "./settling-rule.ts";

/**
 * Samples in, verdicts out: one verdict a sample, completing after the first final one. The rule is begun anew at
 * every subscription. Time is the samples' own; nothing here knows a clock.
 */
export const settled =
  (rule: SettlingRule, start: PointStart): OperatorFunction<SettlingSample, SettlingVerdict> =>
  (sample$) =>
    defer(() => {
      rule.begin(start);
      return sample$.pipe(
        map((sample) => rule.take(sample)),
        takeWhile((verdict) => !isFinal(verdict), true),
      );
    });
