/** Step response figures. Times in seconds; `share` is a part of the step, 0 to 1. */

/** Share of the step that a first-order lag has reached after `t`: 1 - exp(-t / tau). */
export const firstOrderShare = (t_s: number, tau_s: number): number => -Math.expm1(-t_s / tau_s);

/** Time at which a first-order lag has reached a share: T63 = tau, T90 = 2.3026 tau. */
export const firstOrderTimeTo = (share: number, tau_s: number): number => -Math.log1p(-share) * tau_s;

/** Time until a first-order lag is within `tolerance` of the step: -ln(tolerance) tau. */
export const firstOrderSettling = (tolerance: number, tau_s: number): number => -Math.log(tolerance) * tau_s;

/** Rise from 10 to 90 % of the step: ln(9) tau. */
export const firstOrderRise = (tau_s: number): number => Math.log(9) * tau_s;

/** Second order, damping ratio below 1. */
export interface SecondOrder {
  readonly zeta: number;
  readonly omega_n: number;
}

/** Overshoot as a share of the step: exp(-pi zeta / sqrt(1 - zeta^2)). */
export const overshootShare = (zeta: number): number => Math.exp((-Math.PI * zeta) / Math.sqrt(1 - zeta ** 2));

export const timeToPeak = ({ zeta, omega_n }: SecondOrder): number => Math.PI / (omega_n * Math.sqrt(1 - zeta ** 2));

/** Settling to 2 % by the rule of thumb 4 / (zeta omega_n). */
export const settlingRuleOfThumb = ({ zeta, omega_n }: SecondOrder): number => 4 / (zeta * omega_n);

/** Time from which the envelope of the ringing is within `tolerance` of the step. */
export const settlingByEnvelope = ({ zeta, omega_n }: SecondOrder, tolerance: number): number =>
  -Math.log(tolerance * Math.sqrt(1 - zeta ** 2)) / (zeta * omega_n);

/** Unit step response of the second-order lag. */
export const secondOrderShare = ({ zeta, omega_n }: SecondOrder, t_s: number): number => {
  const root = Math.sqrt(1 - zeta ** 2);
  const damped = omega_n * root * t_s;
  return 1 - Math.exp(-zeta * omega_n * t_s) * (Math.cos(damped) + (zeta / root) * Math.sin(damped));
};

export interface Peak {
  readonly at_s: number;
  /** Height over the final value, in any unit. */
  readonly overshoot: number;
}

/**
 * Damping and natural frequency from successive peaks on the same side: delta = ln(y1 / y(1+n)) / n. null without two
 * positive, falling peaks.
 */
export const logDecrement = (
  peaks: readonly Peak[],
): (SecondOrder & { readonly period_s: number; readonly delta: number }) | null => {
  const first = peaks[0];
  const last = peaks.at(-1);
  const n = peaks.length - 1;
  if (first === undefined || last === undefined || n < 1) return null;
  if (!(first.overshoot > last.overshoot && last.overshoot > 0)) return null;
  const delta = Math.log(first.overshoot / last.overshoot) / n;
  const period = (last.at_s - first.at_s) / n;
  const zeta = delta / Math.sqrt(4 * Math.PI ** 2 + delta ** 2);
  return { delta, period_s: period, zeta, omega_n: (2 * Math.PI) / (period * Math.sqrt(1 - zeta ** 2)) };
};

export interface TraceSample {
  readonly at_s: number;
  readonly value: number;
}

/** Times of a recorded step, counted from the step; null where the trace does not show them. */
export interface StepFigures {
  readonly t63_s: number | null;
  /** 86.5 % of the step, as used for valve step tests. */
  readonly t86_s: number | null;
  readonly t90_s: number | null;
  /** From 10 to 90 %. */
  readonly rise_s: number | null;
  /** How far the value went past its final value, share of the step; 0 without overshoot. */
  readonly overshoot_share: number;
  /** From here on the value stays within the band, to the end of the trace. */
  readonly settling_s: number | null;
}

/**
 * Reads a recorded step from `start` to `final`, with the step at `step_at_s`. First crossings, straight between the
 * samples; settling is the LAST crossing into the band (`band_share` of the step), because a ringing output crosses
 * it more than once. null when there is no step or a sample is not finite.
 */
export const stepFigures = (
  trace: readonly TraceSample[],
  step: { readonly step_at_s: number; readonly start: number; readonly final: number; readonly band_share: number },
): StepFigures | null => {
  const height = step.final - step.start;
  if (!(Math.abs(height) > 0) || !trace.every((s) => Number.isFinite(s.at_s) && Number.isFinite(s.value))) return null;
  const shares = trace
    .filter((s) => s.at_s >= step.step_at_s)
    .map((s) => ({ t: s.at_s - step.step_at_s, share: (s.value - step.start) / height }));
  const firstAt = (level: number): number | null => {
    const index = shares.findIndex((s) => s.share >= level);
    const after = shares[index];
    if (after === undefined) return null;
    const before = shares[index - 1];
    return before === undefined ? after.t : crossing(before, after, level);
  };
  const t10 = firstAt(0.1);
  const t90 = firstAt(0.9);
  return {
    t63_s: firstAt(1 - Math.exp(-1)),
    t86_s: firstAt(1 - Math.exp(-2)),
    t90_s: t90,
    rise_s: t10 === null || t90 === null ? null : t90 - t10,
    overshoot_share: shares.reduce((most, s) => Math.max(most, s.share - 1), 0),
    settling_s: settledFrom(shares, step.band_share),
  };
};

interface Share {
  readonly t: number;
  readonly share: number;
}

const crossing = (a: Share, b: Share, level: number): number =>
  a.t + ((level - a.share) / (b.share - a.share)) * (b.t - a.t);

const settledFrom = (shares: readonly Share[], band: number): number | null => {
  const index = shares.findLastIndex((s) => Math.abs(s.share - 1) > band);
  const outside = shares[index];
  if (outside === undefined) return shares[0]?.t ?? null;
  const inside = shares[index + 1];
  if (inside === undefined) return null;
  return crossing(outside, inside, outside.share > 1 ? 1 + band : 1 - band);
};
