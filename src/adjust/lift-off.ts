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
}

export const USUAL_LIFT_OFF: LiftOffSettings = {
  lowest_percent: -4,
  highest_percent: 6,
  dead_band_percent: 0.25,
  u_percent: 0.015,
  most_trials: 2,
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
  | { readonly kind: "not-found"; readonly why: string };

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
export type LiftOffSeen =
  | ({ readonly kind: "rise" } & SlowRise)
  | {
      readonly kind: "trial";
      readonly at_percent: number;
      /** Time from the step on. */
      readonly samples: readonly RiseSample[];
      readonly floor_percent: number;
      readonly noise_percent: number;
    };

const QUICK_RATE = 0.5;
const SLOW_RATE = 0.1;
/** A rise that has come this far has shown its foot. */
const SEEN_PERCENT = 0.25;

interface Belief {
  readonly mean: number;
  readonly sd: number;
}

/** The slope just above lift-off is known no better than this share; common practice, no source. */
const GAIN_DOUBT = 0.3;
/** What a gauge drifts between floor and trial, % of span. */
const FLOOR_DOUBT = 0.002;
/**
 * A rise tells the foot of a moving curve: second lags and dead time, which the fit does not know, move it by about
 * this much of the lag, s.
 */
const unseenLag_s = (lag_s: number): number => 0.2 + 0.25 * lag_s;

const NET = 400;

/**
 * Belief about lift-off from the slow rise and all trials, on a net. An output that stayed on its floor says that
 * lift-off is not below the trial; one that rose to y says that it is about y below, so that each trial cuts what is
 * left by far more than half.
 */
const believe = (fit: RiseFit, trials: readonly Extract<LiftOffSeen, { kind: "trial" }>[]): Belief => {
  const u = Math.hypot(fit.u_percent, SLOW_RATE * unseenLag_s(fit.lag_s));
  const heights = trials.map((trial) => {
    const watched_s = trial.samples.at(-1)?.at_s ?? 0;
    const late = trial.samples.filter((s) => s.at_s > watched_s / 2);
    const n = Math.max(1, late.length);
    return {
      at: trial.at_percent,
      height: late.reduce((sum, s) => sum + s.output_percent, 0) / n - trial.floor_percent,
      noise: Math.hypot(trial.noise_percent * Math.sqrt(2 / n), FLOOR_DOUBT),
      // A first-order output has come this far, on the mean of the second half.
      share: -Math.expm1((-0.75 * watched_s) / Math.max(fit.lag_s, 0.05)),
    };
  });
  const logAt = (x: number): number =>
    heights.reduce(
      (sum, { at, height, noise, share }) => {
        const expected = share * Math.max(0, at - x);
        const sd = Math.hypot(noise, GAIN_DOUBT * expected);
        return sum - 0.5 * ((height - expected) / sd) ** 2 - Math.log(sd);
      },
      -0.5 * ((x - fit.input_percent) / u) ** 2,
    );
  const net = Array.from({ length: NET + 1 }, (_, i) => fit.input_percent + u * 5 * ((2 * i) / NET - 1));
  const logs = net.map(logAt);
  const most = Math.max(...logs);
  let [total, sum, square] = [0, 0, 0];
  net.forEach((x, i) => {
    const weight = Math.exp((logs[i] ?? 0) - most);
    total += weight;
    sum += weight * x;
    square += weight * x * x;
  });
  const mean = sum / total;
  return { mean, sd: Math.sqrt(Math.max(0, square / total - mean ** 2) + (u / NET) ** 2) };
};

/**
 * What to do next: a quick rise finds the neighbourhood and the lag, a slow one the foot of the curve, and trials that
 * halve what is left confirm it at rest. Each begins well below, waits for the air to run out, and watches for several
 * lags. Holds no state: the same history gives the same move.
 */
export const nextLiftOff = (settings: LiftOffSettings, seen: readonly LiftOffSeen[]): LiftOffMove => {
  const { lowest_percent, highest_percent, dead_band_percent, u_percent, most_trials } = settings;
  const rises = seen.filter((s) => s.kind === "rise");
  const trials = seen.filter((s) => s.kind === "trial");
  const fits = rises.map(fitRise);
  const below = 0.3 + 2 * dead_band_percent;
  const [quick, slow] = fits;
  if (quick === undefined) {
    return {
      kind: "rise",
      back_to_percent: lowest_percent,
      rest_s: 4,
      from_percent: lowest_percent,
      rate_percent_per_s: QUICK_RATE,
      to_percent: highest_percent,
      until_output_percent: SEEN_PERCENT,
    };
  }
  const lag_s = (slow ?? quick).lag_s;
  if (!(slow ?? quick).risen) {
    const why = `the output did not rise up to ${highest_percent} % of span: no air, a blocked line, or a zero error larger than that`;
    return { kind: "not-found", why };
  }
  if (quick.input_percent < lowest_percent + dead_band_percent && slow === undefined) {
    const why = `the output flows already at ${lowest_percent} % of span, the lowest input the search may go to: lower the zero screw first`;
    return { kind: "not-found", why };
  }
  const rest_s = Math.min(8, 1 + 2 * lag_s);
  const near = Math.max(lowest_percent, quick.input_percent - Math.max(0.15, 3 * quick.u_percent));
  if (slow === undefined) {
    return {
      kind: "rise",
      back_to_percent: Math.max(lowest_percent, near - below),
      rest_s,
      from_percent: near,
      rate_percent_per_s: SLOW_RATE,
      to_percent: highest_percent,
      until_output_percent: SEEN_PERCENT / 2,
    };
  }
  const belief = believe(slow, trials);
  if (trials.length >= 1 && (belief.sd <= u_percent || trials.length >= most_trials))
    return { kind: "found", input_percent: belief.mean, u_percent: belief.sd, lag_s };
  return {
    kind: "trial",
    back_to_percent: Math.max(lowest_percent, belief.mean - below),
    rest_s,
    // A little above the middle: an output that rises tells more than one that does not.
    at_percent: belief.mean + belief.sd,
    watch_s: Math.min(14, 2 + 3.5 * lag_s),
  };
};
