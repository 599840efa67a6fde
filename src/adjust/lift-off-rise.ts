/** A sample of a slow rise: input and output in % of the output span, time from the start of the rise. */
export interface RiseSample {
  readonly at_s: number;
  readonly output_percent: number;
}

export interface SlowRise {
  readonly from_percent: number;
  readonly rate_percent_per_s: number;
  readonly samples: readonly RiseSample[];
  /** Output and its noise while nothing flowed, seen just before. */
  readonly floor_percent: number;
  readonly noise_percent: number;
}

export interface RiseFit {
  /** Input at which the output began to rise, % of span. */
  readonly input_percent: number;
  readonly u_percent: number;
  /** Lag of the output, s. */
  readonly lag_s: number;
  /** The output did rise. */
  readonly risen: boolean;
}

/** Slope of the output over the input just above lift-off; common practice, no source. */
const GAIN = { mean: 1, sd: 0.15 };
/** Lags looked at, s. */
const LAGS_S = Array.from({ length: 24 }, (_, i) => 0.05 * 1.26 ** i);
const STARTS = 60;

/** First-order answer to a ramp that began `s` ago, per unit of rate: s - tau (1 - exp(-s/tau)). */
const answer = (s: number, lag_s: number): number => (s <= 0 ? 0 : s + lag_s * Math.expm1(-s / lag_s));

interface Weighed {
  readonly start_s: number;
  readonly lag_s: number;
  readonly cost: number;
}

/** Least cost over the gain, with its prior, for one start and one lag. */
const weigh = (rise: SlowRise, values: readonly number[], start_s: number, lag_s: number): Weighed => {
  const s2 = rise.noise_percent ** 2;
  const p2 = GAIN.sd ** 2;
  let [sxx, sxy, syy] = [0, 0, 0];
  rise.samples.forEach(({ at_s }, i) => {
    const x = rise.rate_percent_per_s * answer(at_s - start_s, lag_s);
    const y = values[i] ?? 0;
    sxx += x * x;
    sxy += x * y;
    syy += y * y;
  });
  const gain = (sxy / s2 + GAIN.mean / p2) / (sxx / s2 + 1 / p2);
  const cost = (syy - 2 * gain * sxy + gain * gain * sxx) / s2 + (gain - GAIN.mean) ** 2 / p2;
  return { start_s, lag_s, cost };
};

const over = (rise: SlowRise, values: readonly number[], from_s: number, to_s: number): readonly Weighed[] =>
  Array.from({ length: STARTS + 1 }, (_, i) => from_s + ((to_s - from_s) * i) / STARTS).flatMap((start_s) =>
    LAGS_S.map((lag_s) => weigh(rise, values, start_s, lag_s)),
  );

const momentsOf = (all: readonly Weighed[]) => {
  const least = Math.min(...all.map((w) => w.cost));
  let [total, start, square, lag] = [0, 0, 0, 0];
  for (const { cost, start_s, lag_s } of all) {
    const weight = Math.exp((least - cost) / 2);
    total += weight;
    start += weight * start_s;
    square += weight * start_s ** 2;
    lag += weight * lag_s;
  }
  const mean = start / total;
  return { mean_s: mean, sd_s: Math.sqrt(Math.max(0, square / total - mean ** 2)), lag_s: lag / total };
};

/**
 * Where the output of a slow rise left its floor, told from the whole curve: a first-order lag answers a ramp with
 * s - tau (1 - exp(-s/tau)) from the moment on at which it lifts off. Start, lag and gain are weighed against all
 * samples on a net (Bayes, flat over start and lag), first over the whole rise and then close up.
 */
export const fitRise = (rise: SlowRise): RiseFit => {
  const end_s = rise.samples.at(-1)?.at_s ?? 0;
  const values = rise.samples.map((s) => s.output_percent - rise.floor_percent);
  const last = values.slice(-5);
  const risen = last.reduce((sum, v) => sum + v, 0) / Math.max(1, last.length) > 4 * rise.noise_percent;
  const wide = momentsOf(over(rise, values, -1, end_s));
  const margin_s = Math.max(4 * wide.sd_s, end_s / STARTS);
  const close = momentsOf(over(rise, values, wide.mean_s - margin_s, Math.min(end_s, wide.mean_s + margin_s)));
  return {
    input_percent: rise.from_percent + rise.rate_percent_per_s * close.mean_s,
    u_percent: rise.rate_percent_per_s * Math.max(close.sd_s, margin_s / (STARTS * 3)),
    lag_s: close.lag_s,
    risen,
  };
};
