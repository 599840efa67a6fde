import type { Dating } from "./gauge-renewal.ts";
import { fitModel } from "./least-squares-fit.ts";
import { volumeAnswer } from "./volume-answer.ts";

/**
 * Volume and restriction: after a dead time the source volume follows its command through a restriction, no faster
 * than the flow allows, p' = clip((u - p) / tau, rate); the volume at the gauge follows through the tubing,
 * q' = (p - q) / tau_line. First-order fill of a volume through a restriction: any text on pneumatic lags.
 */
export interface VolumeModel {
  readonly dead_time_s: number;
  readonly tau_s: number;
  readonly line_tau_s: number;
  /** Greatest speed, % of span a second; null where the step did not show one. */
  readonly rate_percent_per_s: number | null;
  /** Root mean square of what the model leaves, % of span. */
  readonly misfit_percent: number;
}

/** A reading as a share of the step, t in s since the command. */
export interface Share {
  readonly t: number;
  readonly y: number;
}

export interface StepShares {
  readonly shares: readonly Share[];
  readonly t63_s: number;
  /** Greatest speed seen, steps a second. */
  readonly steepest: number;
  /** Noise of one reading, as a share of the step. */
  readonly noise: number;
}

/** A rate that explains this part of what the plain model leaves is believed. */
const RATE_GAIN = 0.4;
/** Standard deviation of the age of a reading where nobody knows it, s: renewed every 0.1 s or so; and where it is known. */
const AGE_S = 0.03;
const KNOWN_AGE_S = 0.004;
/** Times of measurement that leave no less than this part of the cost are not believed. */
const DATING_GAIN = 0.5;

interface VolumeFit {
  /** Dead time, ln tau, ln line, height, and ln rate where the speed is limited. */
  readonly parameters: readonly number[];
  readonly cost: number;
}

const modelled = (shares: readonly Share[], v: readonly number[]): readonly number[] => {
  const [theta = 0, lnTau = 0, lnLine = 0, end = 1, lnRate] = v;
  return volumeAnswer(
    shares.map((s) => s.t),
    {
      theta,
      tau: Math.exp(lnTau),
      line: Math.exp(lnLine),
      rate: lnRate === undefined ? null : Math.exp(Math.min(lnRate, 20)),
    },
  ).map((y) => end * y);
};

const weighed = (
  shares: readonly Share[],
  start: readonly number[],
  weights: readonly number[] | null,
  steps: number,
): VolumeFit =>
  fitModel(
    (v) => {
      const model = modelled(shares, v);
      return shares.map((s, i) => (weights?.[i] ?? 1) * ((model[i] ?? 0) - s.y));
    },
    start,
    steps,
  );

/** A reading is a little old: where the output runs, an age that is not known is worth more than the noise. */
const weightsFor = (shares: readonly Share[], at: readonly number[], noise: number, age_s: number) => {
  const model = modelled(shares, at);
  return model.map((y, i) => {
    const slope = (y - (model[i - 1] ?? 0)) / Math.max(1e-3, (shares[i]?.t ?? 0) - (shares[i - 1]?.t ?? 0));
    return 1 / Math.hypot(noise, Math.abs(slope) * age_s);
  });
};

/** Fits from a start, weighs the readings by what that gave, and fits again. */
const fitted = ({ shares, noise }: StepShares, start: readonly number[]): VolumeFit => {
  const rough = weighed(shares, start, null, 40);
  return weighed(shares, rough.parameters, weightsFor(shares, rough.parameters, noise, AGE_S), 40);
};

/** Mean squared misfit in units of the noise, of readings whose age is known. */
const polished = (shares: readonly Share[], noise: number, start: readonly number[], steps: number) => {
  const weights = weightsFor(shares, start, noise, KNOWN_AGE_S);
  const fit = weighed(shares, start, weights, steps);
  return { ...fit, shares, mean: fit.cost / Math.max(1, shares.length - fit.parameters.length) };
};

/**
 * Fits the model to the shares of a step. `datings`: ways to tell when the gauge measured what it answered; the one
 * that leaves least is believed where it leaves clearly less than times of answer do.
 */
export const fitVolume = (step: StepShares, datings: readonly Dating[], span_percent: number): VolumeModel => {
  const { t63_s, steepest, noise } = step;
  const plain = [0.3, 0.1]
    .map((part) => fitted(step, [0.1 * t63_s, Math.log(0.8 * t63_s), Math.log(part * t63_s), 1]))
    .reduce((a, b) => (b.cost < a.cost ? b : a));
  const limited = fitted(step, [
    0.1 * t63_s,
    Math.log(0.5 * t63_s),
    Math.log(0.15 * t63_s),
    1,
    Math.log(1.1 * steepest),
  ]);
  const useRate = limited.cost < RATE_GAIN * plain.cost;
  const undated = useRate ? limited : plain;
  const asAnswered = polished(step.shares, noise, undated.parameters, 6);
  const dated = datings
    .map((dating) => polished(dating(step.shares), noise, undated.parameters, 8))
    .toSorted((a, b) => a.mean - b.mean)[0];
  const best =
    dated !== undefined && dated.mean < DATING_GAIN * asAnswered.mean
      ? polished(dated.shares, noise, dated.parameters, 30)
      : { ...undated, shares: step.shares };
  const [theta = 0, a = 0, b = 0, , lnRate] = best.parameters;
  // Two plain lags cannot be told apart by order: the longer one is called the unit's.
  const [tau, line] = [Math.exp(a), Math.exp(b)];
  const left = modelled(best.shares, best.parameters).map((y, i) => y - (best.shares[i]?.y ?? 0));
  return {
    dead_time_s: Math.max(0, theta),
    tau_s: useRate ? tau : Math.max(tau, line),
    line_tau_s: useRate ? line : Math.min(tau, line),
    rate_percent_per_s: lnRate === undefined ? null : Math.exp(lnRate) * span_percent,
    misfit_percent: Math.sqrt(left.reduce((sum, r) => sum + r * r, 0) / left.length) * span_percent,
  };
};
