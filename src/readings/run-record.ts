import type { Stage } from "../vocabulary/reading.ts";
import type { PlannedPoint } from "./planned-points.ts";
import type { PointRecord, RunEvent, RunEventOf } from "./run-event.ts";

/** Where an event stands in the record, so that every line of a view can be traced to the line it came from. */
export interface InRecord {
  readonly seq: number;
  /** Seconds on the run's clock since its start. */
  readonly at_s: number;
  /** ISO 8601, UTC. */
  readonly utc: string;
}

/** What an event says, without its kind. */
export type EventBody<K extends RunEvent["kind"]> = Omit<RunEventOf<K>, "kind">;

export type RunHeader = EventBody<"run-started"> & InRecord;
export type RecordedInstrument = EventBody<"instrument-identified"> & InRecord;
export type PreflightOutcome = EventBody<"preflight-check"> & InRecord;
/** A captured point with its place in the sequence at the top level: `ordinal`, `cycle`, `direction`, `output_kPa`, ... */
export type CapturedPoint = Omit<EventBody<"point-captured">, "point"> & PointRecord & InRecord;
/** A point that never stood still: kept with the reason, never used as a result. */
export type UnsettledPoint = Omit<EventBody<"point-not-settled">, "point"> & PointRecord & InRecord;
export type ScrewTurn = EventBody<"screw-turned"> & InRecord;
export type LiftOffFound = EventBody<"lift-off-found"> & InRecord;
export type AdjustmentReading = EventBody<"adjustment-reading"> & InRecord;
export type RecordedTrouble = EventBody<"trouble"> & InRecord;
export type SourceLeft = EventBody<"source-left"> & InRecord;
export type RunEnding = EventBody<"run-ended"> & InRecord;

/** One pass through the points of a stage. A stage that was run twice in one record is there twice. */
export interface StageRecord {
  readonly stage: Stage;
  readonly started_at_s: number;
  readonly started_utc: string;
  /** null while the stage is unfinished, or for ever when the run ended inside it. */
  readonly completed_at_s: number | null;
  readonly completed_utc: string | null;
  /** The points that count, by ordinal. A point that was taken again counts by its last reading. */
  readonly points: readonly CapturedPoint[];
  /** Readings that were taken again; kept and never used. */
  readonly replaced: readonly CapturedPoint[];
  readonly unsettled: readonly UnsettledPoint[];
  /** Points of the plan without a reading. */
  readonly missing: readonly PlannedPoint[];
  /** Lift-off in this stage; null or left out where it was not looked for or not found. */
  readonly lift_off?: LiftOffFound | null;
}

export type FrozenAsFound = EventBody<"as-found-frozen"> & InRecord;
export type Resumption = EventBody<"run-resumed"> & InRecord;
export type RecordedOutlook = EventBody<"adjustment-outlook"> & InRecord;
export type RecordedTrace = EventBody<"trace-taken"> & InRecord;

/** A test that explains the unit, as it was run. */
export interface ExaminationRecord {
  readonly test: string;
  readonly title: string;
  readonly started_at_s: number;
  readonly started_utc: string;
  readonly traces: readonly RecordedTrace[];
  readonly asked: readonly (EventBody<"hand-asked"> & InRecord)[];
  /** null: the record stops inside the test. */
  readonly ending: (EventBody<"examination-ended"> & InRecord) | null;
}

export interface AdjustmentRecord {
  readonly started_at_s: number;
  readonly started_utc: string;
  /** What adjusting could do, said before the first turn; null where as found did not tell. */
  readonly outlook: RecordedOutlook | null;
  /** What the hand did that was not asked for. */
  readonly noticed: readonly (EventBody<"hand-noticed"> & InRecord)[];
  /** What was learned of the screws; null where too little was turned. */
  readonly interplay: (EventBody<"interplay-learned"> & InRecord) | null;
  /** What was read between the turns to decide the next one; never a result. */
  readonly readings: readonly AdjustmentReading[];
  readonly turns: readonly ScrewTurn[];
  /** Lift-off after each turn of zero, where zero is set by it. */
  readonly lift_offs: readonly LiftOffFound[];
  /** null while the adjustment is unfinished, or for ever when the run ended inside it. */
  readonly ending: (EventBody<"adjustment-ended"> & InRecord) | null;
}

/** Something that departed from the plan, in one sentence, with the line of the record it comes from. */
export interface Deviation extends InRecord {
  readonly kind:
    | "check-overridden"
    | "check-skipped"
    | "approach-repeated"
    | "approached-wrongly"
    | "point-taken-again"
    | "point-not-settled"
    | "point-missing"
    | "run-resumed"
    | "clock-stepped"
    | "trouble";
  readonly stage: Stage | null;
  readonly ordinal: number | null;
  readonly text: string;
}

/** The whole run as a view of its events. Nothing in it is invented: what the record does not say is null or absent. */
export interface RunRecord {
  readonly header: RunHeader;
  /** True when the run, or any instrument in it, says that it is simulated. */
  readonly simulated: boolean;
  readonly instruments: readonly RecordedInstrument[];
  readonly preflight: readonly PreflightOutcome[];
  readonly cautions_accepted: readonly (EventBody<"cautions-accepted"> & InRecord)[];
  readonly exercised: readonly (EventBody<"exercised"> & InRecord)[];
  readonly stages: readonly StageRecord[];
  readonly adjustments: readonly AdjustmentRecord[];
  /** Set when as found was closed before the first turn. */
  readonly frozen: FrozenAsFound | null;
  readonly examinations: readonly ExaminationRecord[];
  /** What the harness learned about the screws, in its own sentences. */
  readonly learned: readonly string[];
  readonly troubles: readonly RecordedTrouble[];
  readonly deviations: readonly Deviation[];
  /** Each time the run broke off and went on. */
  readonly resumed: readonly Resumption[];
  /** How the source was left, each time; the last one is how it stands. */
  readonly source_left: readonly SourceLeft[];
  /** null: the record stops before the run ended. */
  readonly ending: RunEnding | null;
  readonly event_count: number;
  /** Time of the last event. */
  readonly last: InRecord;
}

/** The last pass through a stage: the one that is judged. */
export const stageOf = (record: RunRecord, stage: Stage): StageRecord | undefined =>
  record.stages.findLast((s) => s.stage === stage);
