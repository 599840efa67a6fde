import { type Day, daysBetween } from "./calendar-days.ts";
import { type CalibrationFact, type FactStage, shareOfLimit, type UnitOfFact, unitKey } from "./calibration-fact.ts";

import { grouped } from "./grouped.ts";

/** Something that was done to a unit between calibrations: what it showed before tells nothing of what comes after. */
export interface Interruption {
  readonly date: Day;
  /** In words, such as "repaired". */
  readonly what: string;
}

/** One calibration, and the state in which the one before had left the unit. */
export interface Finding {
  readonly fact: CalibrationFact;
  readonly date: Day;
  /** Day of the calibration before; null when this one begins a stretch. */
  readonly since: Day | null;
  readonly days: number | null;
  /** Largest as-found error over its limit; null when nothing was read as found. */
  readonly share_of_limit: number | null;
  /** The calibration before left it at or inside its limits; null when none is joined to this one. */
  readonly began_inside: boolean | null;
  /** As-found errors all at or inside their limits; the guard band of the decision rule is not part of it. */
  readonly in_tolerance: boolean | null;
}

export interface UnitHistory {
  readonly unit: UnitOfFact;
  readonly simulated: boolean;
  /** All calibrations that count, oldest first. */
  readonly findings: readonly Finding[];
  /** The last of them that follow each other without an interruption. Drift is read from these alone. */
  readonly stretch: readonly Finding[];
  /** Where earlier calibrations were cut off, and why. */
  readonly interruptions: readonly Interruption[];
  /** Runs that say nothing for the history, and why. */
  readonly left_out: readonly { readonly run_id: string; readonly date: Day; readonly why: string }[];
}

/** How a run left the unit: its own stage as left, or as found when no screw was turned; null when nobody knows. */
export const leftOf = (fact: Pick<CalibrationFact, "as_found" | "as_left" | "adjusted">): FactStage | null =>
  fact.as_left ?? (fact.adjusted ? null : fact.as_found);

const whyLeftOut = (fact: CalibrationFact): string | null => {
  if (!fact.finished) return "the run did not come to its end";
  if (fact.as_found === null && fact.as_left === null) return "it holds no calibration points";
  return null;
};

/** Why the calibration cannot be compared with the one before. */
const cutBetween = (
  before: CalibrationFact,
  now: CalibrationFact,
  told: readonly Interruption[],
): Interruption | null => {
  const between = told.findLast((i) => i.date > before.date && i.date <= now.date);
  if (between !== undefined) return between;
  const cut = (what: string): Interruption => ({ date: now.date, what });
  if (before.range !== now.range) return cut(`range changed from ${before.range} to ${now.range}`);
  if (leftOf(before) === null) return cut("the calibration before was adjusted and has no result as left");
  if (now.as_found === null) return cut("nothing was read as found");
  return null;
};

const byTime = (a: CalibrationFact, b: CalibrationFact): number =>
  a.date < b.date ? -1 : a.date > b.date ? 1 : a.run_id < b.run_id ? -1 : a.run_id > b.run_id ? 1 : 0;

const historyOf = (facts: readonly CalibrationFact[], told: readonly Interruption[]): UnitHistory | null => {
  const sorted = [...new Map(facts.map((f) => [f.run_id, f])).values()].toSorted(byTime);
  const last = sorted.at(-1);
  if (last === undefined) return null;
  const left_out: { run_id: string; date: Day; why: string }[] = [];
  const findings: Finding[] = [];
  const interruptions: Interruption[] = [];
  let begin = 0;
  for (const fact of sorted) {
    const why = whyLeftOut(fact);
    if (why !== null) {
      left_out.push({ run_id: fact.run_id, date: fact.date, why });
      continue;
    }
    const before = findings.at(-1)?.fact;
    const cut = before === undefined ? null : cutBetween(before, fact, told);
    if (cut !== null) {
      interruptions.push(cut);
      begin = findings.length;
    }
    const joined = before !== undefined && cut === null;
    const left = joined ? leftOf(before) : null;
    const share = fact.as_found === null ? null : shareOfLimit(fact.as_found);
    findings.push({
      fact,
      date: fact.date,
      since: joined ? before.date : null,
      days: joined ? daysBetween(before.date, fact.date) : null,
      began_inside: left === null ? null : shareOfLimit(left) <= 1,
      share_of_limit: share,
      in_tolerance: share === null ? null : share <= 1,
    });
  }
  return {
    unit: last.unit,
    simulated: last.simulated,
    findings,
    stretch: findings.slice(begin),
    interruptions,
    left_out,
  };
};

/**
 * Calibrations to one history a unit, whatever their order; a run handed in twice counts once. Simulated runs and real
 * ones of the same serial number are two histories. `told` holds for every unit of the list.
 */
export const unitHistories = (
  facts: readonly CalibrationFact[],
  told: readonly Interruption[] = [],
): readonly UnitHistory[] => {
  const order = told.toSorted((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : 0));
  return [...grouped(facts, unitKey).entries()]
    .toSorted(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([, group]) => historyOf(group, order) ?? []);
};
