import type { PlanStep, SettlingChoice, TestPlan } from "./test-plan.ts";

interface StepTime {
  readonly step: PlanStep;
  readonly travel_s: number;
  readonly wait_s: number;
  /** From the start of the plan to the end of this step. */
  readonly until_s: number;
}

export interface PlanTimes {
  readonly steps: readonly StepTime[];
  /** Strokes at the head of the plan. */
  readonly exercise_s: number;
  /** All points once, with the moves between them. */
  readonly points_s: number;
  readonly total_s: number;
}

/**
 * What a point of a quick unit takes with the detector: an oracle needs 13 s over the units of the settling study and
 * the detector a little longer. An estimate for a person, never a limit.
 */
const DETECTOR_GUESS_S = 15;
/** What most outputs need before a window of steady readings can begin. */
const LAG_GUESS_S = 8;

const settleGuess = (choice: SettlingChoice): number => {
  switch (choice.rule) {
    case "detector":
      return Math.max(DETECTOR_GUESS_S, choice.minimum_dwell_s);
    case "fixed-dwell":
      return choice.dwell_s + choice.average_s;
    case "band":
    case "slope":
      return LAG_GUESS_S + choice.window_s;
  }
};

export const targetOf = (step: PlanStep): number => (step.kind === "point" ? step.nominal_percent : step.to_percent);

/**
 * Estimated time of each step and of the whole, s, starting from 0 % of span. `settle_s` replaces the guess for one
 * point when the unit is known. Adjusting is not in it: how long a hand takes is not known.
 */
export const planTimes = (plan: TestPlan, settle_s = settleGuess(plan.settling)): PlanTimes => {
  let from = 0;
  let until = 0;
  let exercise = 0;
  let readingBegan = false;
  const steps = plan.steps.map((step): StepTime => {
    const travel = Math.abs(targetOf(step) - from) / plan.approach.ramp_percent_per_s;
    const wait = step.kind === "point" ? settle_s : step.hold_s;
    from = targetOf(step);
    until += travel + wait;
    readingBegan ||= step.kind === "point";
    if (!readingBegan) exercise = until;
    return { step, travel_s: travel, wait_s: wait, until_s: until };
  });
  return { steps, exercise_s: exercise, points_s: until - exercise, total_s: until };
};
