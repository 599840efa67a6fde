import { addDays, DAYS_PER_MONTH, type Day, dayNumber } from "../calendar-days.ts";
import type { UnitHistory } from "../unit-history.ts";
import { CARRIES, type IntervalSettings, lessonsOf, type Proposal, refused, type UseReading } from "./proposal.ts";
import { staircaseFactor, staircaseRule } from "./staircase.ts";
import { stepByFinding, stepEvidence } from "./step-by-finding.ts";

/** Count on a day, on the straight line between two readings; null outside them: use is not guessed. */
export const countOn = (readings: readonly UseReading[], day: Day): number | null => {
  const sorted = readings.toSorted((a, b) => (a.date < b.date ? -1 : 1));
  const after = sorted.findIndex((r) => r.date >= day);
  const [low, high] = [sorted[after - 1], sorted[after]];
  if (high === undefined) return null;
  if (high.date === day) return high.count;
  if (low === undefined) return null;
  const share = (dayNumber(day) - dayNumber(low.date)) / (dayNumber(high.date) - dayNumber(low.date));
  return low.count + share * (high.count - low.count);
};

/** The staircase, counted in hours or strokes instead of months. */
export const timeInUse = (history: UnitHistory, settings: IntervalSettings): Proposal => {
  const about = {
    method: "time-in-use" as const,
    name: "time in use (staircase over hours or cycles)",
    source: "ILAC-G24 / OIML D 10, method 3 (share from memory; factors common practice, no source)",
    would_change: `how much the unit is used; ${staircaseRule(settings)}`,
  };
  const last = history.findings.at(-1);
  const { in_use } = settings;
  if (in_use === undefined) {
    return refused(about, "No readings of an hour meter or a counter were handed in.");
  }
  const { unit, readings } = in_use;
  const lessons = lessonsOf(history);
  const usedIn = (from: Day | null, to: Day): number | null => {
    const [a, b] = [from === null ? null : countOn(readings, from), countOn(readings, to)];
    return a === null || b === null || b < a ? null : b - a;
  };
  const used = lessons.flatMap((l) => {
    const count = usedIn(l.finding.since, l.finding.date);
    return count === null || count <= 0 ? [] : [{ lesson: l, count }];
  });
  const latest = used.at(-1);
  if (last === undefined || latest === undefined) {
    return refused(
      about,
      "No two calibrations in a row lie within the readings of the counter, or nothing was counted.",
    );
  }
  const months = used.reduce((s, u) => s + u.lesson.months, 0);
  const rate = used.reduce((s, u) => s + u.count, 0) / months;
  const start = settings.start_months * rate;
  const stepped = stepByFinding(history, start, staircaseFactor(settings), (l) =>
    usedIn(l.finding.since, l.finding.date),
  );
  const carried = used.reduce((most, u) => (u.lesson.in_tolerance ? Math.max(most, CARRIES * u.count) : most), start);
  const count = Math.min(stepped.interval, carried);
  const perMonth = latest.count / latest.lesson.months;
  const days = Math.max(1, Math.floor((count / perMonth) * DAYS_PER_MONTH));
  return {
    ...about,
    months: Math.max(1, Math.floor(days / DAYS_PER_MONTH + 0.1)),
    next_due: addDays(last.date, days),
    refused: null,
    evidence: [
      ...stepEvidence(stepped, `${start.toFixed(0)} ${unit}, the use of ${settings.start_months} months`),
      `${count.toFixed(0)} ${unit} from the last calibration; at ${perMonth.toFixed(0)} ${unit} a month, as lately, that is ${addDays(last.date, days)}.`,
    ],
  };
};
