import type { RiseFit, RiseSample } from "./lift-off-rise.ts";

/** A step from below to one place, watched at rest. */
export interface Trial {
  readonly at_percent: number;
  /** Time from the step on. */
  readonly samples: readonly RiseSample[];
  readonly floor_percent: number;
  readonly noise_percent: number;
}

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
export const believe = (fit: RiseFit, rate_percent_per_s: number, trials: readonly Trial[]): Belief => {
  const u = Math.hypot(fit.u_percent, rate_percent_per_s * unseenLag_s(fit.lag_s));
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
