import type { Day } from "../history/calendar-days.ts";
import type { CalibrationFact, UnitOfFact } from "../history/calibration-fact.ts";
import { modelKey } from "../history/calibration-fact.ts";
import {
  DEFAULT_INTERVAL_SETTINGS,
  DEFAULT_MONTHS,
  type IntervalSettings,
  type MethodId,
  type Proposal,
} from "../history/methods/proposal.ts";
import { proposeIntervals } from "../history/methods/propose-intervals.ts";
import { modelReliability } from "../history/methods/reliability.ts";
import { type ModelRate, modelRate } from "../history/model-drift.ts";
import { type UnitDrift, unitDrift } from "../history/unit-drift.ts";
import { type Interruption, type UnitHistory, unitHistories } from "../history/unit-history.ts";
import { studentTQuantile } from "../uncertainty/statistics/student-t.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { namesUnit } from "./history-source.ts";

export interface HistoryOptions {
  /** Interval to begin with, months; what the laboratory's file stated last when left out. */
  readonly months?: number | undefined;
  readonly target?: number | undefined;
  readonly in_use?: IntervalSettings["in_use"];
  readonly interruptions?: readonly Interruption[];
}

export interface UnitReport {
  readonly history: UnitHistory;
  readonly drift: UnitDrift;
  /** Pooled over the units of the model; null with fewer than two. */
  readonly model: { readonly zero: ModelRate | null; readonly span: ModelRate | null };
  readonly proposals: readonly Proposal[];
  readonly settings: IntervalSettings;
  /** Other units that carried the same tag, with the days on which they did. */
  readonly same_tag: readonly { readonly unit: UnitOfFact; readonly from: Day; readonly to: Day }[];
}

/** Settings for one unit: six months, unless the laboratory's file or the person says otherwise. */
export const settingsFor = (history: UnitHistory, options: HistoryOptions): IntervalSettings => {
  const stated = history.findings.at(-1)?.fact.interval_months;
  const start_months = options.months ?? stated ?? DEFAULT_MONTHS;
  return {
    ...DEFAULT_INTERVAL_SETTINGS,
    studentT: studentTQuantile,
    start_months,
    start_from:
      options.months !== undefined
        ? "as asked for"
        : start_months === DEFAULT_MONTHS
          ? DEFAULT_INTERVAL_SETTINGS.start_from
          : "the laboratory's file",
    ...(options.target === undefined ? {} : { target_reliability: options.target }),
    ...(options.in_use === undefined ? {} : { in_use: options.in_use }),
  };
};

const sameTag = (all: readonly UnitHistory[], { unit, simulated }: UnitHistory): UnitReport["same_tag"] =>
  unit.tag === null
    ? []
    : all.flatMap((other) => {
        if (other.simulated !== simulated || other.unit.serial_number === unit.serial_number) return [];
        const days = other.findings.filter((f) => f.fact.unit.tag === unit.tag).map((f) => f.date);
        const [from, to] = [days[0], days.at(-1)];
        return from === undefined || to === undefined ? [] : [{ unit: other.unit, from, to }];
      });

const reportOf = (history: UnitHistory, all: readonly UnitHistory[], options: HistoryOptions): UnitReport => {
  const settings = settingsFor(history, options);
  const drift = unitDrift(history, settings.confidence, settings.studentT);
  const model = all.filter((h) => modelKey(h) === modelKey(history));
  const rate = (figure: ModelRate["figure"]) => modelRate(model, figure, settings.confidence, settings.studentT);
  return {
    history,
    drift,
    model: { zero: rate("zero error"), span: rate("span error") },
    proposals: proposeIntervals({ history, drift, model: modelReliability(model, settings) }, settings),
    settings,
    same_tag: sameTag(all, history),
  };
};

/** Histories of the units that a serial number or a tag names: more than one where a tag was on several, or in two worlds. */
export const historyReports = (
  facts: readonly CalibrationFact[],
  unit: string,
  options: HistoryOptions,
): Result<readonly UnitReport[], Fault> => {
  // What was done to the unit asked for was not done to the others of its model.
  const named = facts.filter((f) => namesUnit(unit, f));
  const others = facts.filter((f) => !namesUnit(unit, f));
  const own = unitHistories(named, options.interruptions);
  if (own.length === 0) {
    const known = [...new Set(facts.map((f) => f.unit.serial_number))];
    return err(
      fault("refused", "bad-option", `No calibration of a unit with serial number or tag "${unit}" was handed in.`, {
        ...(known.length === 0
          ? { remedy: "Name the records of its calibrations." }
          : { remedy: `There are: ${known.slice(0, 8).join(", ")}${known.length > 8 ? ", ..." : ""}.` }),
      }),
    );
  }
  const all = [...own, ...unitHistories(others)];
  return ok(own.map((history) => reportOf(history, all, options)));
};

export const proposalBy = (report: UnitReport, method: MethodId): Proposal | undefined =>
  report.proposals.find((p) => p.method === method);
