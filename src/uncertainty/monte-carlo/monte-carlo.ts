import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { BudgetModel } from "../budget/budget-model.ts";
import { compileModel } from "../budget/compile.ts";
import { type Interval, type IntervalKind, intervalOfSorted } from "./coverage-interval.ts";
import { Deviates } from "./deviates.ts";
import { cannotBeDrawnJointly, inputDrawer } from "./draw-inputs.ts";
import { blockSize, numericalTolerance } from "./numerical-tolerance.ts";
import type { RandomWords } from "./random-words.ts";
import { TrialStore } from "./trial-store.ts";

export interface TrialChoice {
  /**
   * `adaptive`: blocks until the results stand still to the numerical tolerance (JCGM 101:2008, 7.9.4); a fifth of it
   * when the first-order result is to be checked (8.2). A number: exactly that many trials.
   */
  readonly trials: "adaptive" | number;
  /** Adaptive only: stop at a fifth of the tolerance. */
  readonly for_validation?: boolean;
  /** Adaptive only: give up after so many trials, 10^8 unless told. */
  readonly most?: number;
}

export interface MonteCarloOutput {
  readonly output: string;
  readonly unit: string;
  readonly y: number;
  readonly u: number;
  readonly interval: Interval;
  readonly interval_kind: IntervalKind;
  /** Twice the largest standard deviation of y, u and the two ends over the blocks; null with a fixed number of trials. */
  readonly numerical_doubt: number | null;
}

export interface MonteCarloResult {
  readonly outputs: readonly MonteCarloOutput[];
  readonly trials: number;
  /** Trials of one block of the adaptive procedure (7.9.4 a); null with a fixed number of trials. */
  readonly block_size: number | null;
  readonly generator: string;
  /** null with a fixed number of trials, where nobody looked. */
  readonly stabilised: boolean | null;
  /** What was asked for: a fifth of the tolerance, or all of it. */
  readonly tolerance_share: number;
  readonly remarks: readonly string[];
}

/** Trials drawn and evaluated at a time: small enough for the arrays of all inputs to stay in the processor's cache. */
const CHUNK = 2000;

/** Running mean and spread of one figure over the blocks. */
class BlockFigure {
  #n = 0;
  #mean = 0;
  #squares = 0;

  take(x: number): void {
    this.#n += 1;
    const step = x - this.#mean;
    this.#mean += step / this.#n;
    this.#squares += step * (x - this.#mean);
  }

  /** Standard deviation of the mean over the blocks. */
  get doubt(): number {
    return Math.sqrt(this.#squares / (this.#n - 1) / this.#n);
  }
}

interface OutputState {
  readonly store: TrialStore;
  readonly block: Float64Array;
  /** y, u, low end, high end. */
  readonly figures: readonly BlockFigure[];
}

const doubtOf = (state: OutputState): number => 2 * Math.max(...state.figures.map((f) => f.doubt));

const standsStill = (state: OutputState, digits: 1 | 2, share: number): boolean =>
  doubtOf(state) <= share * numericalTolerance(state.store.u, digits);

const notANumber = (model: BudgetModel, at: number, trial: number): Fault =>
  fault(
    "refused",
    "bad-file",
    `The model of "${model.outputs[at]?.name}" gave no number within the first ${trial} trials.`,
    {
      means:
        "Somewhere within its inputs' distributions the formula is not defined, such as a root of something negative.",
      remedy: "Check the distributions, or write the model so that it holds for every value that can occur.",
    },
  );

const notJoint = (names: readonly string[]): Fault =>
  fault("refused", "bad-file", `${names.join(", ")}: correlated, but neither normal nor readings.`, {
    means:
      "A correlation alone does not say how such inputs are distributed together, so Monte Carlo cannot draw them.",
    remedy: "Describe them as normal, or put their common cause into the model as an input of its own.",
  });

const remarksOf = (model: BudgetModel): readonly string[] => {
  const remarks: string[] = [];
  if (model.correlated && model.inputs.some((i) => i.distribution.shape === "t")) {
    remarks.push(
      "Correlated inputs with few degrees of freedom were drawn as joint normal ones, whose tails are lighter.",
    );
  }
  // The variance of a t distribution is dof / (dof - 2): JCGM 101:2008, 6.4.9.4.
  const endless = model.inputs.filter((i) => i.distribution.shape === "t" && i.distribution.degrees_of_freedom <= 2);
  if (endless.length > 0 && !model.correlated) {
    const names = endless.map((i) => i.name).join(", ");
    remarks.push(
      `${names}: with 2 degrees of freedom or fewer a t distribution has no variance, so u by Monte Carlo never stands still and says nothing; its interval does. Take four readings or more.`,
    );
  }
  return remarks;
};

/** Trials as long as they are wanted, block by block; the fault names the first output that is no number. */
const runBlocks = (
  model: BudgetModel,
  words: RandomWords,
  choice: TrialChoice,
  states: readonly OutputState[],
): Result<boolean | null, Fault> => {
  const deviates = new Deviates(words);
  const draw = inputDrawer(model);
  const evaluate = compileModel(
    model.outputs.map((o) => o.expression),
    model.inputs.map((i) => i.name),
  );
  const inputs = model.inputs.map(() => new Float64Array(CHUNK));
  const M = states[0]?.block.length ?? CHUNK;
  const adaptive = choice.trials === "adaptive";
  const most = choice.trials === "adaptive" ? (choice.most ?? 1e8) : choice.trials;
  const share = choice.for_validation === true ? 0.2 : 1;
  let done = 0;
  for (let h = 1; done < most; h += 1) {
    const n = adaptive ? M : Math.min(M, most - done);
    for (let from = 0; from < n; from += CHUNK) {
      const size = Math.min(CHUNK, n - from);
      draw(deviates, inputs, size);
      evaluate(
        size,
        inputs,
        states.map((s) => s.block.subarray(from, from + size)),
      );
    }
    done += n;
    for (const [at, { store, block, figures }] of states.entries()) {
      const { mean, u } = store.take(block, n);
      if (!Number.isFinite(mean)) return err(notANumber(model, at, done));
      if (!adaptive) continue;
      const [low, high] = intervalOfSorted(block.sort(), model.coverage, model.interval);
      [mean, u, low, high].forEach((x, i) => {
        figures[i]?.take(x);
      });
    }
    if (adaptive && h > 1 && states.every((s) => standsStill(s, model.digits, share))) return ok(true);
  }
  return ok(adaptive ? false : null);
};

/**
 * Propagation of distributions (JCGM 101:2008): y, u and a coverage interval for every output, from all trials together.
 * The same words give the same result. Memory: at most 32 MB an output up to 4 million trials, 8 MB beyond.
 */
export const monteCarlo = (
  model: BudgetModel,
  words: RandomWords,
  choice: TrialChoice = { trials: "adaptive" },
): Result<MonteCarloResult, Fault> => {
  const refused = cannotBeDrawnJointly(model).map((input) => input.name);
  if (refused.length > 0) return err(notJoint(refused));
  if (choice.trials !== "adaptive" && !(Number.isInteger(choice.trials) && choice.trials >= 1000)) {
    const remedy = "Give a whole number from 1000 on, or leave the number to the procedure.";
    return err(fault("refused", "bad-option", `${choice.trials} trials are too few or no whole number.`, { remedy }));
  }
  const M = choice.trials === "adaptive" ? blockSize(model.coverage) : Math.min(choice.trials, 10 * CHUNK);
  const states = model.outputs.map(
    (): OutputState => ({
      store: new TrialStore(model.coverage, choice.trials === "adaptive" ? undefined : choice.trials),
      block: new Float64Array(M),
      figures: [new BlockFigure(), new BlockFigure(), new BlockFigure(), new BlockFigure()],
    }),
  );
  const run = runBlocks(model, words, choice, states);
  if (!run.ok) return run;
  return ok({
    outputs: model.outputs.map((output, i) => {
      const state = states[i] as OutputState;
      return {
        output: output.name,
        unit: output.unit,
        y: state.store.mean,
        u: state.store.u,
        interval: state.store.interval(model.interval),
        interval_kind: model.interval,
        numerical_doubt: choice.trials === "adaptive" ? doubtOf(state) : null,
      };
    }),
    trials: states[0]?.store.n ?? 0,
    block_size: choice.trials === "adaptive" ? M : null,
    generator: words.name,
    stabilised: run.value,
    tolerance_share: choice.for_validation === true ? 0.2 : 1,
    remarks: remarksOf(model),
  });
};
