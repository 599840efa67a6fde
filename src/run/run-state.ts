import { type PlanTimes, planTimes } from "../plan/plan-times.ts";
import type { TestPlan } from "../plan/test-plan.ts";
import type { RunEvent, RunEventOf } from "../readings/run-event.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Direction, Screw } from "../vocabulary/reading.ts";
import type { Live, RunOutput } from "./run-output.ts";
import type { SettlingVerdict } from "./settling/settling-rule.ts";
import type { TurnCue } from "./stages/adjusting-cue.ts";

export type RunStage = RunEventOf<"stage-started">["stage"];

/** What the run is doing at this moment: a closed union, so that no view can forget one. */
export type Doing =
  | { readonly kind: "not-started" }
  | { readonly kind: "checking"; readonly check: string }
  | { readonly kind: "approaching"; readonly target_percent: number }
  | { readonly kind: "approaching-again"; readonly overshoot_percent: number }
  | { readonly kind: "moving"; readonly expected_s: number | null }
  | { readonly kind: "settling"; readonly expected_s: number | null }
  | { readonly kind: "steady"; readonly for_s: number }
  | { readonly kind: "hunting"; readonly amplitude_percent: number; readonly period_s: number }
  | { readonly kind: "drifting"; readonly rate_percent_per_min: number }
  | { readonly kind: "not-settled"; readonly waited_s: number }
  | { readonly kind: "silent"; readonly for_s: number }
  | { readonly kind: "holding"; readonly why: string; readonly until_s: number }
  | {
      readonly kind: "waiting-for-hand";
      readonly screw: Screw;
      readonly at_percent: number;
      readonly target_kPa: number;
      readonly within_kPa: number;
      readonly lift_off?: { readonly floor_kPa: number; readonly sign_kPa: number };
      readonly why: string;
      readonly cue?: TurnCue;
    }
  /** A person is asked to do something that no instrument can, such as setting the regulator. */
  | { readonly kind: "asking"; readonly what: string }
  | { readonly kind: "line-lost"; readonly fault: Fault; readonly until_s: number }
  | { readonly kind: "making-safe" }
  | {
      readonly kind: "ended";
      readonly ending: RunEventOf<"run-ended">["ending"];
      readonly fault: RunEventOf<"trouble">["fault"] | null;
    };

export interface PointNow {
  readonly ordinal: number;
  readonly of: number;
  readonly direction: Direction;
  readonly nominal_percent: number;
}

/** All that a view shows of a run. Pressures in kPa, percent of output span, times on the run's clock in s. */
export interface RunState {
  readonly simulated: boolean;
  readonly stage: RunStage | null;
  readonly doing: Doing;
  readonly point: PointNow | null;
  readonly target_percent: number | null;
  readonly set_point: { readonly percent: number; readonly mA: number } | null;
  /** The last reading; its age is `now - at_s`, and an old one must not look alive. */
  readonly reading: { readonly kPa: number; readonly percent: number; readonly at_s: number } | null;
  /** Why the last poll gave no reading; null when it did. */
  readonly no_reading: Fault | null;
  readonly slope_percent_per_min: number | null;
  readonly current_mA: number | null;
  readonly supply_kPa: number | null;
  readonly ambient_degC: number | null;
  readonly started_at_s: number | null;
  readonly now_s: number;
  /** Share of the whole run that is done, 0 to 1; it goes back when adjusting turns out to be needed. */
  readonly share: number;
  /** Estimated time left, without the hand's own time. */
  readonly left_s: number;
  readonly checks: readonly RunEventOf<"preflight-check">[];
  readonly captured: readonly RunEventOf<"point-captured">[];
  readonly refused: readonly RunEventOf<"point-not-settled">[];
  readonly turns: readonly RunEventOf<"screw-turned">[];
  /** What adjusting can do for the unit, said before the first turn. */
  readonly outlook: RunEventOf<"adjustment-outlook"> | null;
  readonly noticed: readonly RunEventOf<"hand-noticed">[];
  readonly adjustment: RunEventOf<"adjustment-ended"> | null;
  readonly troubles: readonly RunEventOf<"trouble">[];
  readonly source_left: RunEventOf<"source-left"> | null;
}

/** What preflight takes, most of it the first moves of the output. */
const PREFLIGHT_GUESS_S = 45;
/** Adjusting takes about as long as this beside the hand: three settled readings at either end. */
const ADJUSTING_GUESS_S = 90;

const doingFor = (verdict: SettlingVerdict): Doing => {
  switch (verdict.kind) {
    case "moving":
    case "settling":
      return { kind: verdict.kind, expected_s: verdict.expected_s };
    case "settled":
      return { kind: "steady", for_s: verdict.to_s - verdict.from_s };
    case "hunting":
      return { kind: "hunting", amplitude_percent: verdict.amplitude, period_s: verdict.period_s };
    case "drifting":
      return { kind: "drifting", rate_percent_per_min: verdict.rate_per_min };
    case "not-settled":
      return { kind: "not-settled", waited_s: verdict.waited_s };
    case "no-new-data":
      return { kind: "silent", for_s: verdict.for_s };
  }
};

const afterLive = (state: RunState, live: Live, at_s: number): Partial<RunState> => {
  switch (live.kind) {
    case "pressure":
      return { reading: { kPa: live.kPa, percent: live.percent, at_s }, no_reading: null };
    case "no-reading":
      return { no_reading: live.fault };
    case "current":
      return { current_mA: live.mA };
    case "supply":
      return { supply_kPa: live.kPa };
    case "ambient":
      return { ambient_degC: live.degC };
    case "step":
      return {
        target_percent: live.target_percent,
        doing: { kind: "approaching", target_percent: live.target_percent },
      };
    case "going":
      return {
        target_percent: live.target_percent,
        doing: { kind: "approaching", target_percent: live.target_percent },
      };
    case "set-point":
      return { set_point: { percent: live.percent, mA: live.mA } };
    case "verdict":
      // While a hold is shown with its end, the verdict of a learning rule would only flicker.
      return {
        slope_percent_per_min: live.slope_percent_per_min,
        ...(state.doing.kind === "holding" ? {} : { doing: doingFor(live.verdict) }),
      };
    case "holding":
      return { doing: { kind: "holding", why: live.why, until_s: live.until_s } };
    case "checking":
      return { doing: { kind: "checking", check: live.check } };
    case "turn-asked": {
      const { at: _, ...asked } = live;
      return { doing: { ...asked, kind: "waiting-for-hand" }, target_percent: live.at_percent };
    }
    case "turn-cue":
      return state.doing.kind === "waiting-for-hand" ? { doing: { ...state.doing, cue: live.cue } } : {};
    case "asking":
      return { doing: { kind: "asking", what: live.what } };
    case "turn-ended":
      return { doing: { kind: "moving", expected_s: null } };
    case "line-lost":
      return { doing: { kind: "line-lost", fault: live.fault, until_s: live.until_s } };
    case "line-back":
      return { doing: { kind: "approaching", target_percent: state.target_percent ?? 0 } };
    case "making-safe":
      return { doing: { kind: "making-safe" } };
  }
};

const afterRecord = (state: RunState, event: RunEvent, at_s: number, points: number): Partial<RunState> => {
  switch (event.kind) {
    case "run-started":
      return { simulated: event.simulated, started_at_s: at_s };
    case "preflight-check":
      return { checks: [...state.checks, event] };
    case "stage-started":
      return { stage: event.stage, point: null };
    case "point-started": {
      const { ordinal, direction, nominal_percent } = event.point;
      return { point: { ordinal, of: points, direction, nominal_percent } };
    }
    case "approach-repeated":
      return { doing: { kind: "approaching-again", overshoot_percent: event.overshoot_percent } };
    case "exercised":
      return { doing: { kind: "approaching", target_percent: state.target_percent ?? event.to_percent } };
    case "point-captured":
      return { captured: [...state.captured, event] };
    case "point-not-settled":
      return { refused: [...state.refused, event] };
    case "screw-turned":
      return { turns: [...state.turns, event] };
    case "adjustment-ended":
      return { adjustment: event };
    case "trouble":
      return { troubles: [...state.troubles, event] };
    case "source-left":
      return { source_left: event };
    case "run-ended":
      return { doing: { kind: "ended", ending: event.ending, fault: event.fault ?? null } };
    case "instrument-identified":
    case "cautions-accepted":
    case "commanded":
    case "stage-completed":
    case "adjustment-reading":
    case "lift-off-found":
    case "learned":
    case "run-resumed":
    case "clock-stepped":
    case "as-found-frozen":
    case "interplay-learned":
    case "examination-started":
    case "trace-taken":
    case "hand-asked":
    case "examination-ended":
      return {};
    case "adjustment-outlook":
      return { outlook: event };
    case "hand-noticed":
      return { noticed: [...state.noticed, event] };
  }
};

/** Time done and time of the whole run, estimated from the plan; `index` is the step that is under way. */
const progress = (times: PlanTimes, eachStage: boolean, stage: RunStage | null, index: number, adjusted: boolean) => {
  const before = times.steps[index - 1]?.until_s ?? 0;
  const first = PREFLIGHT_GUESS_S + times.total_s;
  if (!adjusted)
    return { done: stage === null || stage === "preflight" ? 0 : PREFLIGHT_GUESS_S + before, whole: first };
  const skipped = eachStage ? 0 : times.exercise_s;
  const whole = first + ADJUSTING_GUESS_S + times.total_s - skipped;
  return stage === "adjusting"
    ? { done: first, whole }
    : { done: first + ADJUSTING_GUESS_S + Math.max(0, before - skipped), whole };
};

export interface RunStateReducer {
  readonly initial: RunState;
  /** Pure: the same outputs give the same state. */
  reduce(state: RunState, output: RunOutput): RunState;
}

export const createRunStateReducer = (plan: TestPlan): RunStateReducer => {
  const times = planTimes(plan);
  const points = plan.steps.filter((step) => step.kind === "point").length;
  const initial: RunState = {
    simulated: false,
    stage: null,
    doing: { kind: "not-started" },
    point: null,
    target_percent: null,
    set_point: null,
    reading: null,
    no_reading: null,
    slope_percent_per_min: null,
    current_mA: null,
    supply_kPa: null,
    ambient_degC: null,
    started_at_s: null,
    now_s: 0,
    share: 0,
    left_s: PREFLIGHT_GUESS_S + times.total_s,
    checks: [],
    captured: [],
    refused: [],
    turns: [],
    outlook: null,
    noticed: [],
    adjustment: null,
    troubles: [],
    source_left: null,
  };

  const withProgress = (state: RunState, index: number): RunState => {
    if (state.doing.kind === "ended")
      return { ...state, left_s: 0, ...(state.doing.ending === "finished" ? { share: 1 } : {}) };
    const adjusted = state.stage === "adjusting" || state.stage === "as-left" || state.turns.length > 0;
    const { done, whole } = progress(times, plan.exercise_each_stage, state.stage, index, adjusted);
    return { ...state, share: done / whole, left_s: whole - done };
  };

  return {
    initial,
    reduce: (state, output) => {
      const { at_s } = output;
      const next: RunState = { ...state, now_s: at_s };
      if (output.type === "live") {
        const changed = { ...next, ...afterLive(state, output.live, at_s) };
        return output.live.kind === "step" ? withProgress(changed, output.live.index) : changed;
      }
      const { event } = output;
      const changed = { ...next, ...afterRecord(state, event, at_s, points) };
      return event.kind === "stage-started" || event.kind === "run-ended" ? withProgress(changed, 0) : changed;
    },
  };
};
