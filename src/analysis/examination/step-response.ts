import { stepFigures } from "../dynamics.ts";
import { datingsOf } from "./gauge-renewal.ts";
import { mean, noiseOf, type Trace } from "./trace.ts";
import { fitVolume, type Share, type VolumeModel } from "./volume-fit.ts";

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
      t63 === null
        ? null
        : fitVolume(
            { shares, t63_s: t63, steepest, noise: Math.max(1e-5, noise / Math.abs(height)) },
            datingsOf(trace.samples),
            height_percent,
          ),
  };
};

/** What part of the delay the line plays: the same step on a short line and on the installed one. */
export const linePart = (short: StepResponse, installed: StepResponse): number | null =>
  short.t63_s === null || installed.t63_s === null || installed.t63_s <= 0
    ? null
    : Math.max(0, 1 - short.t63_s / installed.t63_s);
