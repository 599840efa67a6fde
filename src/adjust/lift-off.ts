import { believe, type Trial } from "./lift-off-belief.ts";
import { fitRise, type RiseFit, type RiseSample, type SlowRise } from "./lift-off-rise.ts";

/**
 * Lift-off of a unit whose range begins at zero pressure: the input at which the output begins to rise, always looked
 * for from below, because below it the output shows nothing. Inputs and outputs in % of the output span.
 */
export interface LiftOffSettings {
  /** Where the search may begin and must end, % of span. */
  readonly lowest_percent: number;
  readonly highest_percent: number;
  /** Lost motion that the way up must have taken up before anything counts. */
  readonly dead_band_percent: number;
  /** Good enough, standard uncertainty. */
  readonly u_percent: number;
  /** Trials after the two rises, at most. */
  readonly most_trials: number;
  /** Where a screw was just set to: looked for there first, without the quick rise. */
  readonly expected_percent?: number;
}

export const USUAL_LIFT_OFF: LiftOffSettings = {
  lowest_percent: -4,
  highest_percent: 6,
  dead_band_percent: 0.25,
  u_percent: 0.015,
  most_trials: 3,
};

/** One stretch of work: back below, rest, and then a rise or a step. */
export type LiftOffMove =
  | {
      readonly kind: "rise";
      readonly back_to_percent: number;
      readonly rest_s: number;
      readonly from_percent: number;
      readonly rate_percent_per_s: number;
      readonly to_percent: number;
      /** The rise ends when the output has come this far above its floor. */
      readonly until_output_percent: number;
    }
  | {
      readonly kind: "trial";
      readonly back_to_percent: number;
      readonly rest_s: number;
      readonly at_percent: number;
      readonly watch_s: number;
    }
  | { readonly kind: "found"; readonly input_percent: number; readonly u_percent: number; readonly lag_s: number }
  /** `early`: the output flows at the lowest input already, so that its zero error shows as it is. */
  | { readonly kind: "not-found"; readonly why: string; readonly early: boolean };

/** Longest wait for the air to run out before a stretch begins, s. */
export const LONGEST_REST_S = 25;

export interface Quiet {
  readonly floor_percent: number;
  readonly noise_percent: number;
}

/**
 * The floor and its noise once the output has come to rest: the last two seconds agree with the two before them. null
 * while the air still runs out. Samples of the rest, in order.
 */
export const quietFloor = (samples: readonly RiseSample[]): Quiet | null => {
  const end_s = samples.at(-1)?.at_s ?? 0;
  const late = samples.filter((s) => s.at_s > end_s - 2).map((s) => s.output_percent);
  const early = samples.filter((s) => s.at_s <= end_s - 2 && s.at_s > end_s - 4).map((s) => s.output_percent);
  if (late.length < 3 || early.length < 3) return null;
  const mean = (v: readonly number[]): number => v.reduce((sum, x) => sum + x, 0) / v.length;
  const floor = mean(late);
  const step = Math.SQRT1_2 * Math.sqrt(mean(late.slice(1).map((x, i) => (x - (late[i] ?? x)) ** 2)));
  const noise = Math.max(step, 0.001);
  if (Math.abs(mean(early) - floor) > 0.004 + 2.5 * noise * Math.sqrt(1 / late.length + 1 / early.length)) return null;
  return { floor_percent: floor, noise_percent: noise };
};

/** What was seen of a move. */
export type LiftOffSeen = ({ readonly kind: "rise" } & SlowRise) | ({ readonly kind: "trial" } & Trial);

const QUICK_RATE = 0.5;
const SLOW_RATE = 0.1;
/** A rise that has come this far has shown its foot. */
const SEEN_PERCENT = 0.25;

/** A slow rise round an expected place begins this far below it. */
const BELOW_EXPECTED = 0.4;
/** The foot of the quick rise is known no better than this: second lags bend it late. */
const BELOW_QUICK = 0.5;
/** A slow rise that found the output flowing at its start is taken again from this much lower. */
const LOWER_STILL = 0.6;
const MOST_SLOW_RISES = 4;

/** A second lag, which no trial waits for, moves what is found by about this much for each second of lag, % of span. */
const LAG_DOUBT = 0.004;

const notFound = (why: string, early: boolean): LiftOffMove => ({ kind: "not-found", why, early });

/** The rise that is still missing, why there is none to be had, or the slow rise that tells the foot. */
const riseOrFoot = (settings: LiftOffSettings, rises: readonly SlowRise[]): LiftOffMove | RiseFit => {
  const { lowest_percent, highest_percent, dead_band_percent, expected_percent } = settings;
  const quickRise = (): LiftOffMove => ({
    kind: "rise",
    back_to_percent: lowest_percent,
    rest_s: 4,
    from_percent: lowest_percent,
    rate_percent_per_s: QUICK_RATE,
    to_percent: highest_percent,
    until_output_percent: SEEN_PERCENT,
  });
  const slowRise = (from: number, lag_s: number): LiftOffMove => {
    const from_percent = Math.max(lowest_percent, from);
    return {
      kind: "rise",
      back_to_percent: lowest_percent,
      rest_s: restFor(lag_s),
      from_percent,
      rate_percent_per_s: SLOW_RATE,
      to_percent: Math.min(highest_percent, from_percent + 2),
      until_output_percent: SEEN_PERCENT / 2,
    };
  };
  const flowsAlready = `the output flows already at ${lowest_percent.toFixed(1)} % of span, the lowest input the search may go to: lower the zero screw first`;
  const last = rises.at(-1);
  if (last === undefined)
    return expected_percent === undefined ? quickRise() : slowRise(expected_percent - BELOW_EXPECTED, 2.5);
  const fit = fitRise(last);
  const wasQuick = last.rate_percent_per_s === QUICK_RATE;
  if (!fit.risen) {
    if (!wasQuick && !rises.some((r) => r.rate_percent_per_s === QUICK_RATE)) return quickRise();
    return notFound(
      `the output did not rise up to ${(wasQuick ? highest_percent : last.from_percent + 2).toFixed(1)} % of span: no air, a blocked line, or a zero error larger than that`,
      false,
    );
  }
  if (wasQuick) {
    if (fit.input_percent < lowest_percent + dead_band_percent) return notFound(flowsAlready, true);
    return slowRise(fit.input_percent - Math.max(BELOW_QUICK, 3 * fit.u_percent), fit.lag_s);
  }
  if (fit.input_percent > last.from_percent + Math.max(0.03, 2 * fit.u_percent)) return fit;
  if (last.from_percent <= lowest_percent) return notFound(flowsAlready, true);
  const slow = rises.filter((r) => r.rate_percent_per_s === SLOW_RATE).length;
  return slow < MOST_SLOW_RISES
    ? slowRise(last.from_percent - LOWER_STILL * slow, fit.lag_s)
    : notFound("the place at which the output begins to rise moves from one rise to the next", false);
};

/** Rest below, s: long enough for the air of the last rise to run out. */
const restFor = (lag_s: number): number => Math.min(8, 1 + 2 * lag_s);

/**
 * What to do next: a quick rise finds the neighbourhood and the lag, a slow one the foot of the curve, and trials that
 * halve what is left confirm it at rest. Where the place is expected, the quick rise is left out. Each begins at
 * the lowest input, so that a loop is always entered in the same way, waits for the air to run out, and watches for
 * several lags. Holds no state: the same history gives the same
 * move.
 */
export const nextLiftOff = (settings: LiftOffSettings, seen: readonly LiftOffSeen[]): LiftOffMove => {
  const { lowest_percent, u_percent, most_trials } = settings;
  const trials = seen.filter((s) => s.kind === "trial");
  const slow = riseOrFoot(
    settings,
    seen.filter((s) => s.kind === "rise"),
  );
  if ("kind" in slow) return slow;
  const { lag_s } = slow;
  const belief = believe(slow, SLOW_RATE, trials);
  if (trials.length >= 1 && (belief.sd <= u_percent || trials.length >= most_trials))
    return { kind: "found", input_percent: belief.mean, u_percent: Math.hypot(belief.sd, LAG_DOUBT * lag_s), lag_s };
  return {
    kind: "trial",
    back_to_percent: lowest_percent,
    rest_s: restFor(lag_s),
    // A little above the middle: an output that rises tells more than one that does not.
    at_percent: belief.mean + belief.sd,
    watch_s: Math.min(14, 2 + 3.5 * lag_s),
  };
};
