import type { TestPlan } from "../plan/test-plan.ts";
import { doingText } from "../run/doing-text.ts";
import type { RunOutput } from "../run/run-output.ts";
import { createRunStateReducer, type RunState } from "../run/run-state.ts";

export interface Watched {
  readonly output: RunOutput;
  readonly state: RunState;
  /** What the run is doing, in words. */
  readonly doing: string;
}

/** Folds what a run says into the state that views show. */
export const watchRun = (plan: TestPlan, see: (watched: Watched) => void): ((output: RunOutput) => void) => {
  const { initial, reduce } = createRunStateReducer(plan);
  let state = initial;
  return (output) => {
    state = reduce(state, output);
    see({ output, state, doing: doingText(state) });
  };
};
