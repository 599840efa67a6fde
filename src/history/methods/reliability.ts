import { binomialBounds } from "../binomial-bounds.ts";
import type { UnitHistory } from "../unit-history.ts";
import { CARRIES, type IntervalSettings, lessonsOf, type Proposal, proposed, refused } from "./proposal.ts";

/** Below so many findings the interval of the share spans nearly everything. Ours; no source. */
const FEWEST_FINDINGS = 10;

/**
 * Rate of going out of tolerance at which a share `observed` is in tolerance after the times that passed, with
 * exponential reliability R(t) = exp(-rate t): the mean of R over the times is the share. With one time throughout it is
 * -ln(observed) / time. Source: NCSLI RP-1, exponential model, from memory. Infinity for a share of 0.
 */
export const rateFromShare = (times: readonly number[], observed: number): number => {
  if (observed >= 1) return 0;
  if (observed <= 0) return Number.POSITIVE_INFINITY;
  const mean = (rate: number): number => times.reduce((s, t) => s + Math.exp(-rate * t), 0) / times.length;
  const wanted = -Math.log(observed);
  // The mean of R lies between those of the longest and of the shortest time alone.
  let [low, high] = [wanted / Math.max(...times), wanted / Math.min(...times)];
  for (let i = 0; i < 100; i += 1) {
    const middle = (low + high) / 2;
    if (mean(middle) > observed) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
};

/** Time after which a share `target` still is in tolerance. */
export const timeForTarget = (rate: number, target: number): number => -Math.log(target) / rate;

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** What the units of one model say together; worked out once for all of them. */
export type ModelReliability =
  | { readonly kind: "too-few"; readonly why: string }
  | {
      readonly kind: "known";
      readonly months: number;
      /** Longest time that was seen through in tolerance. */
      readonly longest: number;
      readonly evidence: readonly string[];
    };

/**
 * Reliability target over the units of one model. The interval is changed only when the confidence interval of the
 * observed share leaves the target out; it is lengthened to what the lower end of that interval carries. The interval
 * of Clopper and Pearson also holds where the times differ: the count in tolerance then scatters less than a binomial
 * of the mean share.
 */
export const modelReliability = (
  model: readonly UnitHistory[],
  { confidence, target_reliability: target }: Pick<IntervalSettings, "confidence" | "target_reliability">,
): ModelReliability => {
  const each = model.map(lessonsOf);
  const lessons = each.flat();
  const units = each.filter((l) => l.length > 0).length;
  const seen = `${lessons.length} finding${lessons.length === 1 ? "" : "s"} of ${units} unit${units === 1 ? "" : "s"} of the model`;
  if (units < 2 || lessons.length < FEWEST_FINDINGS) {
    return {
      kind: "too-few",
      why: `${seen}: a share in tolerance needs at least ${FEWEST_FINDINGS} findings of two or more units.`,
    };
  }
  const good = lessons.filter((l) => l.in_tolerance);
  const share = good.length / lessons.length;
  const times = lessons.map((l) => l.months);
  const typical = times.reduce((s, t) => s + t, 0) / times.length;
  const { lower, upper } = binomialBounds(good.length, lessons.length, confidence);
  const estimate = timeForTarget(rateFromShare(times, share), target);
  const evidence = [
    `${seen}, on average ${typical.toFixed(1)} months after the calibration before: ${good.length} in tolerance, ${percent(share)} (${percent(lower)} to ${percent(upper)} at ${(100 * confidence).toFixed(0)} % confidence).`,
    Number.isFinite(estimate)
      ? `The share as it stands would give ${estimate.toFixed(2)} months.`
      : "None was found out of tolerance, so the share as it stands sets no limit.",
  ];
  const known = (months: number, why: string): ModelReliability => ({
    kind: "known",
    months,
    longest: good.reduce((most, l) => Math.max(most, l.months), 0),
    evidence: [...evidence, why],
  });
  if (target < lower) {
    const months = Math.max(typical, timeForTarget(rateFromShare(times, lower), target));
    return known(months, `Even ${percent(lower)} is above the target, and carries ${months.toFixed(2)} months.`);
  }
  if (target > upper) {
    const months = share === 0 ? timeForTarget(rateFromShare(times, upper), target) : estimate;
    return known(Math.min(typical, months), `Even ${percent(upper)} is below the target.`);
  }
  return known(typical, `The target of ${percent(target)} lies within that: no reason to change the interval in use.`);
};

/** The interval at whose end the share aimed at is still in tolerance, for a unit of the model. */
export const reliability = (history: UnitHistory, settings: IntervalSettings, model: ModelReliability): Proposal => {
  const about = {
    method: "reliability" as const,
    name: "reliability target (exponential, units of the model pooled)",
    source:
      "NCSLI RP-1, exponential reliability (from memory); C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404",
    would_change: `the share of all units of the model found in tolerance, against the target of ${percent(settings.target_reliability)}`,
  };
  if (model.kind === "too-few") return refused(about, model.why);
  const carried = Math.max(settings.start_months, CARRIES * model.longest);
  return proposed(about, history, model.months, carried, model.evidence);
};
