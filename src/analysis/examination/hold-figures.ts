import { fittedLine } from "./line-fit.ts";
import { noiseOf, type Trace } from "./trace.ts";

/** What an output does while its input stands. % of output span. */
export interface HoldFigures {
  readonly at_percent: number;
  readonly noise_percent: number;
  /** Steady movement over the second half, % of span a minute, with its standard uncertainty. */
  readonly drift_percent_per_min: number;
  readonly u_drift_percent_per_min: number;
  /** What still crept in after the first quarter of a minute, beyond the drift of the end, % of span. */
  readonly creep_percent: number;
  /** Half of the swing between its extremes, and its period; null where it does not swing regularly. */
  readonly swing: { readonly amplitude_percent: number; readonly period_s: number } | null;
}

/** Crossings of the mean with a dead zone, so that noise does not count. */
const crossings = (values: readonly { readonly t: number; readonly y: number }[], zone: number): readonly number[] => {
  const found: number[] = [];
  let side = 0;
  for (const { t, y } of values) {
    const now = y > zone ? 1 : y < -zone ? -1 : 0;
    if (now !== 0 && side !== 0 && now !== side) found.push(t);
    if (now !== 0) side = now;
  }
  return found;
};

/** Between these, s, a converter has followed its step, and what is still to come is creep; common practice, no source. */
const CREEP_FROM_S = 15;
const CREEP_TO_S = 25;
/** Fewer crossings are chance. */
const LEAST_CROSSINGS = 6;

export const holdFigures = (trace: Trace, toPercent: (kPa: number) => number): HoldFigures | null => {
  const all = trace.samples.filter((s) => s.t_s > 0).map((s) => ({ t: s.t_s, y: toPercent(s.kPa) }));
  const end = all.at(-1)?.t ?? 0;
  if (all.length < 40) return null;
  const late = all.filter((p) => p.t > end / 2);
  const line = fittedLine(late.map((p) => ({ y: p.y, x: [1, p.t] })));
  if (line === null) return null;
  const slope = line.values[1] ?? 0;
  // Not over the step before it, whose speed is no noise.
  const noise = noiseOf(late.map((p) => p.y));
  const rest = late.map((p) => ({ t: p.t, y: p.y - (line.values[0] ?? 0) - slope * p.t }));
  const sorted = rest.map((p) => p.y).toSorted((a, b) => a - b);
  const amplitude =
    ((sorted[Math.floor(0.97 * sorted.length)] ?? 0) - (sorted[Math.floor(0.03 * sorted.length)] ?? 0)) / 2;
  const at = crossings(rest, Math.max(0.4 * amplitude, 2 * noise));
  const halves = at.slice(1).map((t, i) => t - (at[i] ?? t));
  const half = halves.reduce((sum, v) => sum + v, 0) / Math.max(1, halves.length);
  const regular = halves.every((h) => h > 0.35 * half && h < 2.2 * half);
  const early = all
    .filter((p) => p.t > CREEP_FROM_S && p.t < CREEP_TO_S)
    .map((p) => p.y - (line.values[0] ?? 0) - slope * p.t);
  const scatter = Math.sqrt(line.cost / Math.max(1, late.length - 2));
  return {
    at_percent: trace.to_percent,
    noise_percent: noise,
    drift_percent_per_min: slope * 60,
    u_drift_percent_per_min: 60 * scatter * (line.unit_u[1] ?? 0),
    creep_percent: -(early.reduce((sum, v) => sum + v, 0) / Math.max(1, early.length)),
    swing:
      at.length >= LEAST_CROSSINGS && regular && amplitude > Math.max(0.03, 3 * noise)
        ? { amplitude_percent: amplitude, period_s: 2 * half }
        : null,
  };
};
