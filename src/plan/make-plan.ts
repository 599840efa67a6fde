import { type Fault, fault } from "../vocabulary/fault.ts";
import { type Kilopascal, type Milliamp, percentOfSpan, seconds } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { inputFor, pressureAt, type Transfer } from "../vocabulary/signal-range.ts";
import { adjustmentPoints } from "./adjustment-points.ts";
import { SEQUENCES } from "./sequences/index.ts";
import type { Draft, SequenceOptions } from "./sequences/sequence.ts";
import type { ApproachChoice, PlanStep, SettlingChoice, TestPlan } from "./test-plan.ts";

/** What neither the bench nor the unit may ever see. */
export interface PlanLimits {
  readonly current: { readonly lower_mA: Milliamp; readonly upper_mA: Milliamp };
  /** Lowest rated maximum of hose, fittings, reference and regulator. */
  readonly bench_kPa: Kilopascal;
  /** Highest output pressure the unit may see. */
  readonly unit_kPa: Kilopascal;
}

export interface PlanOptions extends SequenceOptions {
  /** Name of a sequence; `up-down` when left out. */
  readonly sequence?: string;
}

/** 10 % of span a second is brisk and still no step; common practice, no source. */
const DEFAULT_APPROACH: ApproachChoice = {
  ramp_percent_per_s: 10,
  ramp_interval_s: 0.25,
  overshoot_percent: 0.2,
  retries: 2,
};

/** The defaults of the settling study: half the allowed error left for what is still to come. */
const DEFAULT_SETTLING: SettlingChoice = {
  rule: "detector",
  limit_percent: 0.05,
  gamma: 0.5,
  minimum_dwell_s: 0,
  timeout_s: 180,
};

/**
 * What is still to come counts twice in the difference of two branches, so a plan that reads both leaves a third as much:
 * on whole simulated runs that holds the figure within 0.04 % of span in under a third of the time of a fixed 60 s.
 */
const HYSTERESIS_GAMMA = 0.15;

const defaultSettling = (drafts: readonly Draft[]): SettlingChoice => {
  const directions = new Set(drafts.flatMap((d) => (d.kind === "point" ? [d.direction] : [])));
  return directions.size > 1 ? { ...DEFAULT_SETTLING, gamma: HYSTERESIS_GAMMA } : DEFAULT_SETTLING;
};

const refuse = (message: string): Result<never, Fault> => err(fault("refused", "bad-option", message));

const badApproach = (approach: ApproachChoice): string | null => {
  if (!(approach.ramp_percent_per_s > 0 && approach.ramp_percent_per_s <= 1000))
    return `a ramp of ${approach.ramp_percent_per_s} % of span per second is not possible; choose more than 0 up to 1000`;
  if (!(approach.ramp_interval_s >= 0.02 && approach.ramp_interval_s <= 5))
    return `${approach.ramp_interval_s} s between the commands of a ramp is not possible; choose 0.02 to 5 s`;
  if (!(approach.overshoot_percent > 0)) return "the overshoot that is accepted must be more than 0 % of span";
  if (!(Number.isInteger(approach.retries) && approach.retries >= 0 && approach.retries <= 10))
    return `${approach.retries} retries of an approach is not possible; choose 0 to 10`;
  return null;
};

const badSettling = (settling: SettlingChoice): string | null => {
  const figures = Object.entries(settling).filter((entry): entry is [string, number] => typeof entry[1] === "number");
  const bad = figures.find(([name, value]) => !(value > 0 || (name === "minimum_dwell_s" && value === 0)));
  return bad === undefined ? null : `${bad[0]} of the settling rule is ${bad[1]}; it must be more than 0`;
};

/** A rule that waits at least `least_s`, and a sentence when the chosen one has no such figure. */
const withDwell = (settling: SettlingChoice, least_s: number): { rule: SettlingChoice; follows: readonly string[] } => {
  if (settling.rule === "detector")
    return { rule: { ...settling, minimum_dwell_s: Math.max(settling.minimum_dwell_s, least_s) }, follows: [] };
  if (settling.rule === "fixed-dwell")
    return { rule: { ...settling, dwell_s: Math.max(settling.dwell_s, least_s) }, follows: [] };
  return {
    rule: settling,
    follows:
      least_s > 0
        ? [
            `Deviates: the settling rule "${settling.rule}" has no least wait, so ${least_s} s a point are not enforced.`,
          ]
        : [],
  };
};

const outside = (transfer: Transfer, limits: PlanLimits, percent: number): Fault | null => {
  const current = inputFor(transfer, percentOfSpan(percent));
  const pressure = pressureAt(transfer.output, percentOfSpan(percent));
  const bad = (message: string, remedy: string): Fault =>
    fault("refused", "bad-set-point", message, { means: "Nothing was opened and nothing was driven.", remedy });
  const where = `The set point ${percent} % of span`;
  const { lower_mA, upper_mA } = limits.current;
  if (current < lower_mA || current > upper_mA) {
    return bad(
      `${where} needs ${current.toFixed(3)} mA; the bench is limited to ${lower_mA.toFixed(3)} to ${upper_mA.toFixed(3)} mA.`,
      "Correct the input range of the unit or the current limits of the bench.",
    );
  }
  if (pressure > limits.bench_kPa) {
    return bad(
      `${where} is ${pressure.toFixed(3)} kPa; the bench is rated to ${limits.bench_kPa.toFixed(3)} kPa.`,
      "Use a bench whose hose, fittings, reference and regulator are rated for it.",
    );
  }
  return pressure > limits.unit_kPa
    ? bad(
        `${where} is ${pressure.toFixed(3)} kPa; the unit may see at most ${limits.unit_kPa.toFixed(3)} kPa.`,
        "Correct the output range or the rated maximum in the unit file.",
      )
    : null;
};

const toStep = (transfer: Transfer, draft: Draft, ordinal: number): PlanStep =>
  draft.kind === "point"
    ? {
        kind: "point",
        ordinal,
        cycle: draft.cycle,
        direction: draft.direction,
        nominal_percent: percentOfSpan(draft.at),
        nominal_mA: inputFor(transfer, percentOfSpan(draft.at)),
      }
    : {
        kind: "exercise",
        ordinal,
        to_percent: percentOfSpan(draft.to),
        to_mA: inputFor(transfer, percentOfSpan(draft.to)),
        hold_s: seconds(draft.hold_s),
        ...(draft.least_hold_s === undefined ? {} : { least_hold_s: seconds(draft.least_hold_s) }),
      };

/**
 * The explicit list of steps for one unit, from a named sequence. Percent is of the OUTPUT span, so that `rising` is
 * pressure rising for reverse action, split ranges and square-root units alike.
 * Refuses (`bad-option`, `bad-set-point`) what the sequence, the bench or the unit cannot do; nothing is opened.
 */
export const makePlan = (
  transfer: Transfer,
  limits: PlanLimits,
  options: PlanOptions = {},
): Result<TestPlan, Fault> => {
  const name = options.sequence ?? "up-down";
  const sequence = SEQUENCES.find((s) => s.name === name);
  if (sequence === undefined)
    return refuse(`There is no sequence "${name}"; choose one of ${SEQUENCES.map((s) => s.name).join(", ")}.`);
  const draft = sequence.draft(options);
  if (!draft.ok) return refuse(`Sequence ${name}: ${draft.fault}.`);
  const approach = { ...DEFAULT_APPROACH, ...options.approach };
  const chosen = options.settling ?? defaultSettling(draft.value.drafts);
  const complaint = badApproach(approach) ?? badSettling(chosen);
  if (complaint !== null) return refuse(`Sequence ${name}: ${complaint}.`);

  const least_s = Math.max(options.least_dwell_s ?? 0, draft.value.minimum_dwell_s ?? 0);
  const settling = withDwell(chosen, least_s);
  // The whole range must be allowed, whatever the points: preflight and the screws go to its ends.
  const ends = outside(transfer, limits, 0) ?? outside(transfer, limits, 100);
  if (ends !== null) return err(ends);
  const steps: PlanStep[] = [];
  const next = { point: 1, exercise: 1 };
  for (const step of draft.value.drafts) {
    const trouble = outside(transfer, limits, step.kind === "point" ? step.at : step.to);
    if (trouble !== null) return err(trouble);
    steps.push(toStep(transfer, step, next[step.kind]++));
  }
  return ok({
    sequence: name,
    title: draft.value.title,
    follows: [...draft.value.follows, ...settling.follows],
    steps,
    exercise_each_stage: draft.value.exercise_each_stage,
    adjust_at: adjustmentPoints(transfer),
    approach,
    settling: settling.rule,
  });
};
