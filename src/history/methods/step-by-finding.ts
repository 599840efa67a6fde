import type { UnitHistory } from "../unit-history.ts";
import { type Lesson, lessonOf } from "./proposal.ts";

/** An interval in whatever it is counted in, after each finding of a unit. */
export interface Stepped {
  readonly interval: number;
  readonly lengthened: number;
  readonly kept: number;
  readonly shortened: number;
  /** Interruptions after which the interval went back to no more than the first one. */
  readonly restarts: number;
  /** Findings of a unit that had been left outside its limits. */
  readonly begun_outside: number;
  readonly last: { readonly lesson: Lesson; readonly before: number } | null;
}

/**
 * Goes through the findings in order. A finding speaks of the time that really passed, so each step is measured from
 * it: lengthened to `factor` times the time that passed but never by more than `factor`, shortened to `factor` times it
 * but never lengthened thereby. A unit found good after a month thus earns no seven months, and one that was left for a
 * year and found bad does not speak against six.
 */
export const stepByFinding = (
  history: UnitHistory,
  start: number,
  factorOf: (lesson: Lesson) => number,
  passedOf: (lesson: Lesson) => number | null,
): Stepped => {
  let interval = start;
  const counts = { lengthened: 0, kept: 0, shortened: 0, restarts: 0, begun_outside: 0 };
  let last: Stepped["last"] = null;
  for (const [index, finding] of history.findings.entries()) {
    if (index > 0 && finding.since === null) {
      counts.restarts += 1;
      interval = Math.min(interval, start);
    }
    if (finding.began_inside === false) counts.begun_outside += 1;
    const lesson = lessonOf(finding);
    const passed = lesson === null ? null : passedOf(lesson);
    if (lesson === null || passed === null || passed <= 0) continue;
    const before = interval;
    const factor = factorOf(lesson);
    if (factor > 1) interval = Math.max(interval, Math.min(interval, passed) * factor);
    if (factor < 1) interval = Math.min(interval, passed * factor);
    if (interval > before) counts.lengthened += 1;
    else if (interval < before) counts.shortened += 1;
    else counts.kept += 1;
    last = { lesson, before };
  }
  return { interval, ...counts, last };
};

const times = (n: number): string => (n === 0 ? "never" : n === 1 ? "once" : n === 2 ? "twice" : `${n} times`);

export const stepEvidence = (stepped: Stepped, start: string): readonly string[] => {
  const { lengthened, kept, shortened, restarts, begun_outside, last } = stepped;
  const steps = lengthened + kept + shortened;
  return [
    `Begun at ${start}; ${steps === 0 ? "no finding yet" : `${steps} finding${steps === 1 ? "" : "s"}: lengthened ${times(lengthened)}, kept ${times(kept)}, shortened ${times(shortened)}`}.`,
    ...(last === null
      ? []
      : [
          `Last finding, ${last.lesson.finding.date}: ${(100 * last.lesson.share).toFixed(0)} % of the limit after ${last.lesson.months.toFixed(1)} months.`,
        ]),
    ...(begun_outside === 0 ? [] : [`Not counted: ${begun_outside} of a unit that had been left outside its limits.`]),
    ...(restarts === 0
      ? []
      : [
          `After ${restarts === 1 ? "an interruption" : `${restarts} interruptions`} of the history: no longer than the interval begun with.`,
        ]),
  ];
};
