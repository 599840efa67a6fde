import { addMonths, DAYS_PER_MONTH, type Day, daysBetween } from "../calendar-days.ts";
import type { StudentT } from "../trend-line.ts";
import type { Finding, UnitHistory } from "../unit-history.ts";

/** Proposals of a recalibration interval: the method, what it saw, where it is from, what would change it. */

export const METHODS = [
  "fixed",
  "staircase",
  "control-chart",
  "time-in-use",
  "simple-response",
  "reliability",
] as const;
export type MethodId = (typeof METHODS)[number];

export interface Proposal {
  readonly method: MethodId;
  readonly name: string;
  readonly source: string;
  /** Whole months; null when the method cannot say. */
  readonly months: number | null;
  readonly next_due: Day | null;
  /** Why there is no interval, in one sentence; null when there is one. */
  readonly refused: string | null;
  /** What was used, one sentence each. */
  readonly evidence: readonly string[];
  /** What would change it. */
  readonly would_change: string;
}

/** A reading of an hour meter or a counter of strokes. */
export interface UseReading {
  readonly date: Day;
  readonly count: number;
}

export interface IntervalSettings {
  /** Interval to begin with, months. */
  readonly start_months: number;
  /** Where it comes from, in words. */
  readonly start_from: string;
  readonly confidence: number;
  /** Share of units that are to be found in tolerance at the end of the interval. */
  readonly target_reliability: number;
  /** Staircase: up to this share of the limit the interval is lengthened. */
  readonly lengthen_within_share: number;
  readonly lengthen_by: number;
  readonly shorten_to: number;
  /** Simple response: share by which the interval grows after a finding in tolerance. */
  readonly increase: number;
  readonly in_use?: { readonly unit: string; readonly readings: readonly UseReading[] };
  readonly studentT: StudentT;
}

export const DEFAULT_MONTHS = 6;

/**
 * The share of the staircase is remembered of ILAC-G24 / OIML D 10; its two factors are common practice, no source. The
 * growth of 0.1 is the usual example of the simple response.
 */
export const DEFAULT_INTERVAL_SETTINGS: Omit<IntervalSettings, "studentT"> = {
  start_months: DEFAULT_MONTHS,
  start_from: "common practice, no source",
  confidence: 0.95,
  target_reliability: 0.95,
  lengthen_within_share: 0.8,
  lengthen_by: 1.25,
  shorten_to: 0.5,
  increase: 0.1,
};

/**
 * No method goes beyond this many times the longest time that was seen through in tolerance (or the interval to begin
 * with, when that is longer). Ours; no source.
 */
export const CARRIES = 1.5;

/** Whole months in a length of time; half a year may be 181 days, so a tenth of a month is forgiven. */
const wholeMonths = (months: number): number => Math.floor(months + 0.1);

/** The largest number of whole months after a day that does not go beyond another. */
export const monthsUntil = (from: Day, until: Day): number => {
  let months = Math.max(0, Math.floor(daysBetween(from, until) / DAYS_PER_MONTH) + 1);
  while (months > 0 && addMonths(from, months) > until) months -= 1;
  return months;
};

/**
 * A finding from which a method may learn: time since the calibration before, and in tolerance or not. A unit that had
 * been left outside its limits says nothing of the time in which it goes out.
 */
export interface Lesson {
  readonly finding: Finding;
  readonly months: number;
  readonly share: number;
  readonly in_tolerance: boolean;
}

export const lessonOf = (finding: Finding): Lesson | null =>
  finding.days === null ||
  finding.days <= 0 ||
  finding.began_inside !== true ||
  finding.share_of_limit === null ||
  finding.in_tolerance === null
    ? null
    : {
        finding,
        months: finding.days / DAYS_PER_MONTH,
        share: finding.share_of_limit,
        in_tolerance: finding.in_tolerance,
      };

export const lessonsOf = (history: UnitHistory): readonly Lesson[] =>
  history.findings.flatMap((finding) => lessonOf(finding) ?? []);

/** What the evidence carries at most, months. */
export const carriedMonths = (lessons: readonly Lesson[], settings: IntervalSettings): number =>
  lessons.reduce((most, l) => (l.in_tolerance ? Math.max(most, CARRIES * l.months) : most), settings.start_months);

/** Months to a proposal: whole, at least one, never beyond what the evidence carries. */
export const proposed = (
  about: Pick<Proposal, "method" | "name" | "source" | "would_change">,
  history: UnitHistory,
  months: number,
  carried: number,
  evidence: readonly string[],
): Proposal => {
  const last = history.findings.at(-1);
  if (last === undefined) return refused(about, "There is no calibration.", evidence);
  const held = months > carried;
  const whole = wholeMonths(Math.min(months, carried));
  const said = [
    ...evidence,
    ...(held
      ? [
          `The rule alone gives ${months.toFixed(1)} months; held back to ${carried.toFixed(1)}, ${CARRIES} times the longest time seen through in tolerance.`,
        ]
      : []),
    ...(whole < 1 ? [`The rule gives ${months.toFixed(1)} months; one month is the shortest proposed.`] : []),
  ];
  const proposal = Math.max(1, whole);
  return {
    ...about,
    months: proposal,
    next_due: addMonths(last.date, proposal),
    refused: null,
    evidence: said,
  };
};

export const refused = (
  about: Pick<Proposal, "method" | "name" | "source" | "would_change">,
  why: string,
  evidence: readonly string[] = [],
): Proposal => ({ ...about, months: null, next_due: null, refused: why, evidence });
