import type { Sampled } from "../ports/bench.ts";
import type { PressureReading } from "../vocabulary/reading.ts";
import { meanOf, SampleWindow, spreadOf } from "./settling/rules/window.ts";
import type { SettlingVerdict } from "./settling/settling-rule.ts";

export interface SeenSample {
  readonly at_s: number;
  readonly sample: Sampled<PressureReading>;
}

/** Readings of one point, reduced to what is recorded. Percent of output span. */
export interface Capture {
  readonly mean: number;
  readonly spread: number;
  readonly n: number;
  readonly n_stale: number;
  readonly n_outliers: number;
  readonly n_missed: number;
}

/**
 * Mean and spread of the readings that lie in the window the settling rule named. Stale repeats, outliers and missed
 * polls are left out and counted. `samples` are all of the point since its last command.
 */
export const capture = (
  samples: readonly SeenSample[],
  verdict: Extract<SettlingVerdict, { kind: "settled" }>,
  toPercent: (pressure_kPa: number) => number,
): Capture => {
  const within = (time_s: number): boolean => time_s >= verdict.from_s - 1e-9 && time_s <= verdict.to_s + 1e-9;
  const window = new SampleWindow(samples[0]?.at_s ?? 0);
  for (const { at_s, sample } of samples)
    window.take({ time_s: at_s, value: sample.ok ? toPercent(sample.value.value.kPa) : null });
  const seen = samples.filter((s) => within(s.at_s));
  const answered = seen.filter((s) => s.sample.ok).length;
  const kept = window.kept.filter((k) => within(k.time_s)).map((k) => k.value);
  const stale = window.staleTimes.filter(within).length;
  return {
    // Nothing kept can only mean that the rule judged by other lights; its own mean of readings stands then.
    mean: kept.length === 0 ? verdict.value : meanOf(kept),
    spread: spreadOf(kept),
    n: kept.length,
    n_stale: stale,
    n_outliers: answered - kept.length - stale,
    n_missed: seen.length - answered,
  };
};

/**
 * How far the output went past the value it settled on and came back, % of span. Single odd readings do not count
 * (median of three), nor does what the noise of the settled readings explains. 0 when the output did not travel.
 */
export const overshoot = (
  samples: readonly SeenSample[],
  settled: { readonly value: number; readonly from_s: number; readonly spread: number },
  travel: { readonly from: number; readonly to: number },
  toPercent: (pressure_kPa: number) => number,
): number => {
  const side = Math.sign(travel.to - travel.from);
  if (side === 0) return 0;
  const values = samples.flatMap(({ at_s, sample }) =>
    sample.ok && at_s <= settled.from_s ? [side * (toPercent(sample.value.value.kPa) - settled.value)] : [],
  );
  let most = 0;
  for (let i = 1; i + 1 < values.length; i += 1) {
    const [a, b, c] = [values[i - 1] ?? 0, values[i] ?? 0, values[i + 1] ?? 0];
    most = Math.max(most, Math.max(Math.min(a, b), Math.min(Math.max(a, b), c)));
  }
  return Math.max(0, most - 3 * settled.spread);
};
