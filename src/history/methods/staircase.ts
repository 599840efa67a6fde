import type { UnitHistory } from "../unit-history.ts";
import { carriedMonths, type IntervalSettings, type Lesson, lessonsOf, type Proposal, proposed } from "./proposal.ts";
import { stepByFinding, stepEvidence } from "./step-by-finding.ts";

/** Factor of the staircase after a finding. */
export const staircaseFactor =
  (settings: IntervalSettings) =>
  ({ share, in_tolerance }: Lesson): number =>
    !in_tolerance ? settings.shorten_to : share <= settings.lengthen_within_share ? settings.lengthen_by : 1;

const percent = (share: number): string => `${Number((100 * share).toFixed(1))} %`;

export const staircaseRule = (settings: IntervalSettings): string =>
  `a finding within ${percent(settings.lengthen_within_share)} of the limit lengthens it by ${percent(settings.lengthen_by - 1)}, one up to the limit keeps it, one outside shortens it to ${percent(settings.shorten_to)}`;

/** Automatic adjustment: step up after a finding well inside, down after one outside. */
export const staircase = (history: UnitHistory, settings: IntervalSettings): Proposal => {
  const lessons = lessonsOf(history);
  const stepped = stepByFinding(history, settings.start_months, staircaseFactor(settings), (l) => l.months);
  return proposed(
    {
      method: "staircase",
      name: "automatic adjustment (staircase)",
      source: "ILAC-G24 / OIML D 10, method 1 (share from memory; factors common practice, no source)",
      would_change: staircaseRule(settings),
    },
    history,
    stepped.interval,
    carriedMonths(lessons, settings),
    stepEvidence(stepped, `${settings.start_months} months`),
  );
};
