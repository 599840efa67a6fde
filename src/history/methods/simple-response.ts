import type { UnitHistory } from "../unit-history.ts";
import { carriedMonths, type IntervalSettings, lessonsOf, type Proposal, proposed } from "./proposal.ts";
import { stepByFinding, stepEvidence } from "./step-by-finding.ts";

/**
 * Share by which the interval shrinks after a finding out of tolerance, so that it settles where a share `target` of the
 * findings is in tolerance: target ln(1 + a) + (1 - target) ln(1 - b) = 0. Source: NCSLI RP-1, method A1, from memory.
 */
export const decreaseFor = (increase: number, target: number): number => 1 - (1 + increase) ** (-target / (1 - target));

/** Share of findings in tolerance at which growth `a` and shrinking `b` hold the balance. */
export const settlingReliability = (increase: number, decrease: number): number =>
  Math.log1p(-decrease) / (Math.log1p(-decrease) - Math.log1p(increase));

/** A small step up after each finding in tolerance, a large one down after each outside. */
export const simpleResponse = (history: UnitHistory, settings: IntervalSettings): Proposal => {
  const { increase, target_reliability } = settings;
  const decrease = decreaseFor(increase, target_reliability);
  const stepped = stepByFinding(
    history,
    settings.start_months,
    ({ in_tolerance }) => (in_tolerance ? 1 + increase : 1 - decrease),
    (l) => l.months,
  );
  return proposed(
    {
      method: "simple-response",
      name: "simple response",
      source: "NCSLI RP-1, method A1 (from memory)",
      would_change: `each finding: in tolerance ${(100 * increase).toFixed(0)} % longer, outside ${(100 * decrease).toFixed(0)} % shorter, which aims at ${(100 * target_reliability).toFixed(0)} % in tolerance`,
    },
    history,
    stepped.interval,
    carriedMonths(lessonsOf(history), settings),
    [
      ...stepEvidence(stepped, `${settings.start_months} months`),
      "With one unit it answers to single findings and never settles.",
    ],
  );
};
