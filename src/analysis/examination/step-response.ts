import { stepFigures } from "../dynamics.ts";
import { fitModel } from "./least-squares-fit.ts";
import { mean, noiseOf, type Trace } from "./trace.ts";

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

export interface StepResponse {
  readonly from_percent: number;
  readonly to_percent: number;
  readonly direction: "up" | "down";
  readonly dead_time_s: number | null;
  readonly t63_s: number | null;
  readonly t90_s: number | null;
  /** Into 1 % of the step and no more out of it. */
  readonly settling_s: number | null;
  readonly overshoot_percent_of_step: number;
  readonly greatest_rate_percent_per_s: number;
  readonly model: VolumeModel | null;
}

const SETTLED_SHARE = 0.01;
/** A rate that explains this part of what the plain model leaves is believed. */
const RATE_GAIN = 0.4;

/** Standard deviation of the age of a reading, s: renewed every 0.1 s or so. */
const AGE_S = 0.03;

interface Share {
  readonly t: number;
  readonly y: number;
}

/** Answer of the model to a unit step, at the times of the samples, straight between steps of `dt`. */
const answer = (
  times: readonly number[],
  theta: number,
  tau: number,
  line: number,
  rate: number,
): readonly number[] => {
  const dt = Math.min(0.05, Math.max(0.004, Math.min(tau, line) / 5));
  const [fade, lineFade] = [Math.exp(-dt / tau), Math.exp(-dt / line)];
  let [t, p, q, before] = [theta, 0, 0, 0];
  return times.map((at) => {
    while (t < at) {
      const free = 1 + (p - 1) * fade;
      const next = Math.min(free, p + rate * dt);
      before = q;
      // Exact for a command held at the mean of the step.
      q = (p + next) / 2 + (q - (p + next) / 2) * lineFade;
      p = next;
      t += dt;
    }
    return t <= theta ? 0 : q + ((at - t) / dt) * (q - before);
  });
};

/** Fits the model to shares of the step. */
const fitVolume = (
  shares: readonly Share[],
  t63_s: number,
  steepest: number,
  noise: number,
  span_percent: number,
): VolumeModel => {
  const times = shares.map((s) => s.t);
  const modelled = (v: readonly number[]): readonly number[] => {
    const [theta = 0, lnTau = 0, lnLine = 0, end = 1, lnRate = 20] = v;
    const rate = Math.exp(Math.min(lnRate, 20));
    return answer(times, Math.max(0, theta), Math.exp(lnTau), Math.exp(lnLine), rate).map((y) => end * y);
  };
  const weighed = (start: readonly number[], weights: readonly number[]) =>
    fitModel((v) => {
      const model = modelled(v);
      return shares.map((s, i) => (weights[i] ?? 1) * ((model[i] ?? 0) - s.y));
    }, start);
  /**
   * A gauge renews its value at its own pace, so that a reading is a little old: where the output runs, that age is
   * worth more than the noise. Weighed anew by the slope of the first fit.
   */
  const fitted = (start: readonly number[]) => {
    const rough = weighed(
      start,
      times.map(() => 1),
    );
    const model = modelled(rough.parameters);
    const weights = model.map((y, i) => {
      const slope = (y - (model[i - 1] ?? 0)) / Math.max(1e-3, (times[i] ?? 0) - (times[i - 1] ?? 0));
      return noise / Math.hypot(noise, Math.abs(slope) * AGE_S);
    });
    return weighed(rough.parameters, weights);
  };
  const plain = [0.3, 0.1]
    .map((part) => fitted([0.1 * t63_s, Math.log(0.8 * t63_s), Math.log(part * t63_s), 1]))
    .reduce((a, b) => (b.cost < a.cost ? b : a));
  const limited = fitted([0.1 * t63_s, Math.log(0.5 * t63_s), Math.log(0.15 * t63_s), 1, Math.log(1.1 * steepest)]);
  const useRate = limited.cost < RATE_GAIN * plain.cost;
  const best = useRate ? limited : plain;
  const [theta = 0, a = 0, b = 0] = best.parameters;
  // Two plain lags cannot be told apart by order: the longer one is called the unit's.
  const [tau, line] = [Math.exp(a), Math.exp(b)];
  return {
    dead_time_s: Math.max(0, theta),
    tau_s: useRate ? tau : Math.max(tau, line),
    line_tau_s: useRate ? line : Math.min(tau, line),
    rate_percent_per_s: useRate ? Math.exp(best.parameters[4] ?? 0) * span_percent : null,
    misfit_percent:
      Math.sqrt(
        modelled(best.parameters).reduce((sum, y, i) => sum + (y - (shares[i]?.y ?? 0)) ** 2, 0) / shares.length,
      ) * span_percent,
  };
};

/** Figures of one recorded step; null where the trace shows no step. */
export const stepResponse = (trace: Trace, span_kPa: number): StepResponse | null => {
  const before = trace.samples.filter((s) => s.t_s <= 0).map((s) => s.kPa);
  const after = trace.samples.filter((s) => s.t_s > 0);
  const end_s = after.at(-1)?.t_s ?? 0;
  const late = after.filter((s) => s.t_s > 0.85 * end_s).map((s) => s.kPa);
  if (before.length < 2 || late.length < 3) return null;
  const [start, final] = [mean(before), mean(late)];
  const height = final - start;
  const noise = Math.max(noiseOf(before), noiseOf(late));
  if (Math.abs(height) < Math.max(10 * noise, 0.002 * span_kPa)) return null;
  const shares = after.map((s): Share => ({ t: s.t_s, y: (s.kPa - start) / height }));
  const step = { step_at_s: 0, start, final, band_share: SETTLED_SHARE };
  const figures = stepFigures(
    after.map((s) => ({ at_s: s.t_s, value: s.kPa })),
    step,
  );
  if (figures === null) return null;
  const seen = Math.max(0.005, (4 * noise) / Math.abs(height));
  const moved = shares.find((s) => s.y > seen);
  const rates = shares.slice(3).map((s, i) => (s.y - (shares[i]?.y ?? 0)) / (s.t - (shares[i]?.t ?? 0)));
  const steepest = Math.max(0, ...rates);
  const height_percent = (100 * Math.abs(height)) / span_kPa;
  // A single noisy reading is no overshoot: three readings in a row have to be over.
  const over = shares.slice(1, -1).map((s, i) => Math.min(shares[i]?.y ?? 0, s.y, shares[i + 2]?.y ?? 0) - 1);
  const t63 = figures.t63_s;
  return {
    from_percent: trace.from_percent,
    to_percent: trace.to_percent,
    direction: height > 0 ? "up" : "down",
    dead_time_s: moved?.t ?? null,
    t63_s: t63,
    t90_s: figures.t90_s,
    settling_s: figures.settling_s,
    overshoot_percent_of_step: 100 * Math.max(0, ...over),
    greatest_rate_percent_per_s: steepest * height_percent,
    model:
      t63 === null ? null : fitVolume(shares, t63, steepest, Math.max(1e-4, noise / Math.abs(height)), height_percent),
  };
};

/** What part of the delay the line plays: the same step on a short line and on the installed one. */
export const linePart = (short: StepResponse, installed: StepResponse): number | null =>
  short.t63_s === null || installed.t63_s === null || installed.t63_s <= 0
    ? null
    : Math.max(0, 1 - short.t63_s / installed.t63_s);
