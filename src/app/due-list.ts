import { addMonths, type Day } from "../history/calendar-days.ts";
import { type CalibrationFact, modelKey } from "../history/calibration-fact.ts";
import { byDue, type DueRow, type DueState, dueState, unitDueRow } from "../history/due-row.ts";
import { grouped } from "../history/grouped.ts";
import type { IntervalSettings, MethodId } from "../history/methods/proposal.ts";
import { proposeInterval } from "../history/methods/propose-intervals.ts";
import { type ModelReliability, modelReliability } from "../history/methods/reliability.ts";
import { type UnitDrift, unitDrift } from "../history/unit-drift.ts";
import { type UnitHistory, unitHistories } from "../history/unit-history.ts";
import { type HistoryOptions, settingsFor } from "./history-report.ts";
import type { HistorySource, Unreadable } from "./history-source.ts";

export type { DueRow };

export interface DueOptions extends Pick<HistoryOptions, "months" | "target"> {
  readonly today: Day;
  /** Last day that is shown; everything when left out. */
  readonly until?: Day | undefined;
  readonly method: MethodId;
}

export interface DueItem extends DueRow {
  readonly state: DueState;
}

/** Dates by a method that learns: the whole history of each unit is needed. Where it cannot say, the fixed interval holds. */
const rowsByMethod = (facts: readonly CalibrationFact[], options: DueOptions): readonly DueRow[] => {
  const all = unitHistories(facts);
  const models = grouped(all, modelKey);
  const pooled = new Map<string, ModelReliability>();
  const pooledOf = (history: UnitHistory, settings: IntervalSettings): ModelReliability => {
    if (options.method !== "reliability") return { kind: "too-few", why: "not asked for" };
    const key = modelKey(history);
    const known = pooled.get(key) ?? modelReliability(models.get(key) ?? [], settings);
    pooled.set(key, known);
    return known;
  };
  return all.flatMap((history) => {
    const last = history.findings.at(-1);
    if (last === undefined) return [];
    const settings = settingsFor(history, options);
    const drift: UnitDrift =
      options.method === "control-chart"
        ? unitDrift(history, settings.confidence, settings.studentT)
        : { kind: "too-few", runs: 0, why: "not asked for" };
    const given = { history, drift, model: pooledOf(history, settings) };
    const wanted = proposeInterval(options.method, given, settings);
    const used = wanted.months === null ? proposeInterval("fixed", given, settings) : wanted;
    if (used.months === null || used.next_due === null) return [];
    const rests_on = used === wanted ? used.name : `${used.name}: ${options.method} cannot say yet`;
    return [unitDueRow(history.unit, last.fact, { months: used.months, due: used.next_due, rests_on })];
  });
};

const unitRows = async (
  source: HistorySource,
  options: DueOptions,
): Promise<{ readonly rows: readonly DueRow[]; readonly unreadable: readonly Unreadable[] }> => {
  const { months } = options;
  // Only dates as they are kept can be left to the source.
  const kept = options.method === "fixed" && months === undefined;
  const rows = await source.dueRows(kept ? options.until : undefined);
  if (options.method !== "fixed") {
    const { facts, unreadable } = await source.facts();
    const references = rows.filter((r) => r.kind === "reference");
    return { rows: [...rowsByMethod(facts, options), ...references], unreadable };
  }
  const again = (row: DueRow): DueRow =>
    months === undefined || row.kind === "reference" || row.last === null
      ? row
      : { ...row, interval_months: months, due: addMonths(row.last, months) };
  return { rows: rows.map(again), unreadable: [] };
};

/** The later row of each reference: a record tells the certificate of its day, the bench file that of today. */
const joined = (rows: readonly DueRow[]): readonly DueRow[] => {
  const latest = new Map<string, DueRow>();
  const units: DueRow[] = [];
  for (const row of rows) {
    if (row.kind === "unit") units.push(row);
    else {
      const key = JSON.stringify([row.serial_number, row.simulated]);
      const known = latest.get(key);
      if (known === undefined || row.due > known.due) latest.set(key, row);
    }
  }
  return [...units, ...latest.values()];
};

export interface DueList {
  readonly items: readonly DueItem[];
  readonly unreadable: readonly Unreadable[];
}

/** What falls due, the most urgent first. `more`: rows from elsewhere, such as those of bench files. */
export const dueList = async (
  source: HistorySource,
  more: readonly DueRow[],
  options: DueOptions,
): Promise<DueList> => {
  const { rows, unreadable } = await unitRows(source, options);
  const { until, today } = options;
  return {
    items: joined([...rows, ...more])
      .filter((row) => until === undefined || row.due <= until)
      .toSorted(byDue)
      .map((row) => ({ ...row, state: dueState(row, today) })),
    unreadable,
  };
};
