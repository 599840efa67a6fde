import type { Observable, SchedulerLike } from "rxjs";
import type { Examination, ExamineStep } from "../plan/examination.ts";
import type { SettlingChoice, TestPlan } from "../plan/test-plan.ts";
import type { Assistant } from "../ports/assistant.ts";
import type { Bench, Hand } from "../ports/bench.ts";
import type { RunEvent, RunEventOf } from "../readings/run-event.ts";
import type { AdjustmentProspect, NextAdjustment } from "../vocabulary/adjustment.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Kilopascal, Milliamp, PressureMode } from "../vocabulary/quantities.ts";
import type { Transfer } from "../vocabulary/signal-range.ts";
import type { RunOutput } from "./run-output.ts";
import type { SettlingRule } from "./settling/settling-rule.ts";

/** What the record says of the run as a whole; `simulated` comes from the bench and the plan from the request. */
export type RunHeader = Omit<RunEventOf<"run-started">, "kind" | "format" | "simulated" | "plan">;

/** What the files say about the bench and the unit, for preflight. All of it is handed in. */
export interface PreflightFacts {
  /** Serial numbers as the bench file writes them. */
  readonly instruments: readonly { readonly name: string; readonly serial_number: string }[];
  readonly references: readonly {
    readonly name: string;
    readonly certificate: string | null;
    /** Last day on which the reference may be used, ISO 8601. */
    readonly due: string | null;
  }[];
  /** Day of the run, ISO 8601. */
  readonly today: string;
  /** The unit, and how it has to be mounted, in the words of a question to whoever is at the bench. */
  readonly item?: string;
  readonly gauge: {
    readonly range: { readonly lower_kPa: Kilopascal; readonly upper_kPa: Kilopascal } | null;
    readonly mode: PressureMode;
    /** Display digit; learned when it is not known. */
    readonly resolution_kPa?: Kilopascal | null;
    /** A person reads it: two readings at rest agree within this. */
    readonly readable_kPa?: Kilopascal;
    /** Expanded uncertainty near zero. */
    readonly U_kPa: Kilopascal;
  };
  readonly supply: { readonly lower_kPa: Kilopascal; readonly upper_kPa: Kilopascal } | null;
  /** Current at which the output surely vents to the air whatever the zero screw says; null for a unit that never does. */
  readonly vent_mA: Milliamp | null;
  /** What the vented gauge may show beyond its own U. */
  readonly vent_tolerance_kPa: Kilopascal;
  /** Largest difference between commanded and measured current that still counts as a closed loop. */
  readonly loop_tolerance_mA: Milliamp;
  /** The computer: room for the record, and its clock against something that is known to be earlier. UTC, ISO 8601. */
  readonly machine?: {
    readonly free_MB: number | null;
    readonly utc: string;
    readonly not_before: { readonly utc: string; readonly what: string };
  };
}

/** A failed check may be overridden, by name and with a reason; it then stands in the record as a deviation. */
export type Overrides = Readonly<Record<string, { readonly name: string; readonly reason: string }>>;

/** What the caller's analysis makes of a stage. */
export interface Judgement {
  readonly withinTolerance: boolean;
  /** Within the share of tolerance under which nobody turns a screw. */
  readonly withinAim: boolean;
  readonly why: string;
}

export interface RunPolicy {
  /** A point that never stands still: record it and go on, or end the run. */
  readonly not_settled: "go-on" | "end";
  /** How long a lost line is waited for. */
  readonly line_return_s: number;
  /** How often one point is begun again after a lost line or a gauge that stopped renewing its value. */
  readonly line_retries: number;
  /** Without any sample for this long the settling rule is told so. */
  readonly watch_s: number;
  /** Nobody touches the screw for this long: the adjusting ends as it stands. */
  readonly hand_patience_s: number;
  /** The bench must report how the source was left within this time. */
  readonly safe_deadline_s: number;
}

export const DEFAULT_POLICY: RunPolicy = {
  not_settled: "go-on",
  line_return_s: 60,
  line_retries: 2,
  watch_s: 1,
  hand_patience_s: 900,
  safe_deadline_s: 30,
};

/** A test that explains the unit, instead of a calibration. */
export interface ExaminationRequest {
  readonly examination: Examination;
  /** For a test that finds its way: the steps that follow from all traces so far; none when it has found it. */
  readonly more?: (traces: readonly RunEventOf<"trace-taken">[]) => readonly ExamineStep[];
}

/** How lift-off is looked for: from all traces so far to the next steps, and at the end to what was found. */
export interface LiftOffSearch {
  /** The lowest input the search may go to, % of output span. */
  readonly lowest_percent: number;
  /** None when the search is over. `expected_percent`: where a screw was just set to. */
  steps(traces: readonly RunEventOf<"trace-taken">[], expected_percent: number | null): readonly ExamineStep[];
  result(traces: readonly RunEventOf<"trace-taken">[], expected_percent: number | null): LiftOffResult;
}

export type LiftOffResult =
  | {
      readonly kind: "found";
      readonly input_percent: number;
      readonly u_percent: number;
      readonly lag_s: number;
      /** What the gauge shows while nothing flows, and its noise, % of output span. */
      readonly floor_percent: number;
      readonly noise_percent: number;
    }
  /** `early`: the output flows at the lowest input already, so that its zero error shows as it is. */
  | { readonly kind: "not-found"; readonly why: string; readonly early: boolean };

/** A run that broke off: what its record holds, and what the person says of the time between. */
export interface ResumeRequest {
  readonly events: readonly RunEvent[];
  readonly resumed: Omit<RunEventOf<"run-resumed">, "kind">;
}

export interface RunRequest {
  readonly header: RunHeader;
  readonly plan: TestPlan;
  readonly transfer: Transfer;
  readonly bench: Bench;
  readonly hand: Hand;
  /** All time of the run comes from here. */
  readonly scheduler: SchedulerLike;
  /** What `scheduler.now()` said when the run's clock, on which the bench stamps its readings, stood at zero. */
  readonly clock_zero_ms: number;
  /** First value: the person stops the run. */
  readonly stop$?: Observable<unknown>;
  readonly preflight: PreflightFacts;
  readonly overrides?: Overrides;
  /** Who answered yes to the cautions; the caller has already asked. */
  readonly cautions_accepted_by: string;
  /** `never`: as found only. */
  readonly adjust: "never" | "when-needed" | "always";
  /** Judges the events of one stage: those since its `stage-started`. */
  readonly judge: (events: readonly RunEvent[]) => Judgement;
  readonly nextAdjustment: NextAdjustment;
  /**
   * What adjusting can do, worked out from the events of as found, with the guide that aims for it. Without it, or where
   * it gives null, `nextAdjustment` guides to the ideal ends.
   */
  readonly prospect?: (asFound: readonly RunEvent[]) => AdjustmentProspect | null;
  readonly policy?: Partial<RunPolicy>;
  /** For a range that begins at zero pressure: its zero error is found, and its zero screw guided, by lift-off. */
  readonly lift_off?: LiftOffSearch;
  /**
   * Keeps each record before the run goes on. A fault ends the run and makes the source safe: what cannot be kept is
   * not worth measuring. Throwing inside a subscriber would not stop the run.
   */
  readonly keep?: (record: Extract<RunOutput, { type: "record" }>) => Fault | null;
  /** Goes on with a run that broke off, instead of beginning one. */
  readonly resume?: ResumeRequest;
  /** Runs this test after preflight and exercise, and nothing else. */
  readonly examine?: ExaminationRequest;
  /** Whoever does by hand what a test asks for; without one such steps are declined. */
  readonly assistant?: Assistant;
  /** Replaces the rules of `settling/`. */
  readonly createRule?: (choice: SettlingChoice) => SettlingRule;
}
