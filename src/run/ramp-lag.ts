/** One sample after the start of a ramp: s and output in any unit. */
export interface RampSample {
  readonly t_s: number;
  readonly value: number;
}

/** First-order answer at `t` to a ramp from 0 to 1 that takes `ramp_s`. */
const answer = (t: number, ramp_s: number, tau_s: number): number => {
  if (t <= 0) return 0;
  const rise = (s: number): number => (s <= 0 ? 0 : s + tau_s * Math.expm1(-s / tau_s));
  return ramp_s <= 0 ? -Math.expm1(-t / tau_s) : (rise(t) - rise(t - ramp_s)) / ramp_s;
};

/** Longest lag looked for, s. */
const MOST_S = 60;

/**
 * Lag of a unit with its line and its gauge, from the instant at which the output came half way after a ramp of the
 * input: that of the one first-order lag which would be half way then. Dead time and the gauge's own renewal count in
 * it, creep does not. null where the way is too short for the noise, or half way was never passed.
 */
export const rampLag_s = (samples: readonly RampSample[], ramp_s: number, from: number, to: number): number | null => {
  const way = to - from;
  const after = samples.findIndex((s) => (s.value - from) / way >= 0.5);
  const [before, at] = [samples[after - 1], samples[after]];
  if (way === 0 || before === undefined || at === undefined) return null;
  const [a, b] = [(before.value - from) / way, (at.value - from) / way];
  const half_s = b === a ? at.t_s : before.t_s + ((0.5 - a) / (b - a)) * (at.t_s - before.t_s);
  let [low, high] = [0.01, MOST_S];
  if (answer(half_s, ramp_s, low) < 0.5) return low;
  if (answer(half_s, ramp_s, high) > 0.5) return null;
  for (let i = 0; i < 40; i += 1) {
    const tau = Math.sqrt(low * high);
    if (answer(half_s, ramp_s, tau) > 0.5) low = tau;
    else high = tau;
  }
  return Math.sqrt(low * high);
};
