import { createHysteresis, loopWidth } from "./hysteresis.ts";
import { type PlantSettings, scaleOf } from "./plant-settings.ts";
import type { ScrewTurns } from "./screws.ts";
import { staticCurve, withinSupply } from "./static-curve.ts";

/** What the truth depends on besides the settings. */
export interface TruthOptions {
  /** Inputs visited before the points, % of span; the hysteresis remembers them. */
  readonly before?: readonly number[];
  readonly turns?: ScrewTurns;
  readonly supply_kPa?: number;
}

/**
 * Output after an endless wait at each of the points, visited in the given order, in % of span. Exact for static curve,
 * hysteresis, dead band, screws, supply limit and atmosphere; creep and trim are over, drift, ripple, hunting and leak are
 * not counted.
 */
export const trueOutputs = (
  settings: PlantSettings,
  points: readonly number[],
  options: TruthOptions = {},
): readonly number[] => {
  const hysteresis = createHysteresis(settings.plays ?? [], settings.dead_band_percent ?? 0);
  const turns = options.turns ?? { zero: 0, span: 0 };
  const supply_kPa = options.supply_kPa ?? scaleOf(settings).supply_kPa;
  const nominal_kPa = scaleOf(settings).supply_kPa;
  const effect = (settings.supply?.effect_percent_per_kPa ?? 0) * (supply_kPa - nominal_kPa);
  hysteresis.reset(settings.initial_percent ?? 0);
  for (const point of options.before ?? []) hysteresis.advance(point);
  return points.map((point) =>
    withinSupply(settings, staticCurve(settings, hysteresis.advance(point), point, turns) + effect, supply_kPa),
  );
};

/** True error at each of the points, visited in the given order, in % of span: output less ideal output. */
export const trueErrors = (
  settings: PlantSettings,
  points: readonly number[],
  options: TruthOptions = {},
): readonly number[] => trueOutputs(settings, points, options).map((output, i) => output - (points[i] ?? 0));

/**
 * Greatest difference between falling and rising output at the same point, after a full exercise stroke, in % of span.
 * `rising` are the points in rising order; the fall visits them backwards. The end points are visited once, so they are
 * not compared.
 */
export const trueHysteresis = (
  settings: PlantSettings,
  rising: readonly number[] = [0, 25, 50, 75, 100],
  options: TruthOptions = {},
): number => {
  const falling = rising.slice(0, -1).reverse();
  const outputs = trueOutputs(settings, [...rising, ...falling], { ...options, before: options.before ?? [0, 100, 0] });
  let greatest = 0;
  rising.slice(1, -1).forEach((_, k) => {
    const up = outputs[k + 1] ?? 0;
    const down = outputs[outputs.length - 2 - k] ?? 0;
    greatest = Math.max(greatest, Math.abs(down - up));
  });
  return greatest;
};

/** Width of the widest loop that the mechanism can show, % of span at unit gain: 2 sum w_i r_i, and the dead band. */
export const trueLoopWidth = (settings: PlantSettings): number =>
  loopWidth(settings.plays ?? [], settings.dead_band_percent ?? 0);
