import type { Play } from "./hysteresis.ts";
import type { ScrewPair } from "./screws.ts";

/**
 * Everything a simulated converter can be made of. Each part is optional; what is left out is ideal. Percent is percent
 * of the output span throughout, with the input already expressed as the output it asks for.
 */
export interface PlantSettings {
  /** Output range, gauge pressure; 20 to 100 kPa if left out. */
  readonly range_kPa?: { readonly lower: number; readonly upper: number };
  /** Atmospheric pressure, absolute; 101.3 kPa if left out. */
  readonly atmosphere_kPa?: number;
  /** Input at which the plant stands at rest when it is made, % of span; 0 if left out. */
  readonly initial_percent?: number;
  /** Time after which a command acts. */
  readonly dead_time_s?: number;
  /** Output error at 0 %, % of span. */
  readonly zero_error_percent?: number;
  /** Error of the span: error at 100 % less error at 0 %, % of span. */
  readonly span_error_percent?: number;
  /** Mid-scale departure from the straight line, % of span. */
  readonly bow_percent?: number;
  readonly plays?: readonly Play[];
  /** Lost motion of the input, % of span. */
  readonly dead_band_percent?: number;
  /** `share` of every step comes in late with `tau_s`. */
  readonly creep?: { readonly share: number; readonly tau_s: number };
  /** Coarse and fine stage: the fine stage trims `share` of every step with `tau_s`. */
  readonly trim?: { readonly share: number; readonly tau_s: number };
  readonly drift_percent_per_min?: number;
  /** Compressor saw-tooth on the output: 30 % of the period rising, 70 % falling. */
  readonly ripple?: { readonly amplitude_percent: number; readonly frequency_Hz: number };
  readonly supply?: {
    /** Supply, gauge pressure; 140 kPa if left out. */
    readonly pressure_kPa?: number;
    /** The output cannot come nearer to the supply than this; 2 kPa if left out. */
    readonly margin_kPa?: number;
    /** Shift of the output per kPa that the supply departs from `pressure_kPa`, % of span. */
    readonly effect_percent_per_kPa?: number;
  };
  readonly core?:
    | { readonly kind: "lags"; readonly first_s: number; readonly second_s?: number }
    /** Damping `zeta` below 1, natural frequency in rad/s. */
    | { readonly kind: "ringing"; readonly zeta: number; readonly wn_per_s: number };
  readonly relay?: {
    /** Filling rate at mid-range with the supply of `supply`, % of span per second. */
    readonly rate_percent_per_s: number;
    /** Exhaust rate over filling rate at mid-range. */
    readonly exhaust_ratio: number;
    /** Distance from the target inside which the relay closes, % of span. */
    readonly band_percent: number;
  };
  /** Time constant of tubing and gauge volume at mid-range. */
  readonly tubing_s?: number;
  /** Stick-slip: square-ish swings of about this amplitude at a frequency of `integral_per_s` / 4. */
  readonly hunting?: { readonly amplitude_percent: number; readonly integral_per_s: number };
  /** Leak of the gauge volume at full output, % of span per minute. */
  readonly leak_percent_per_min?: number;
  readonly screws?: ScrewPair;
}

/** Step of integration. */
export const STEP_S = 0.02;

/** Figures that follow from the settings. */
export interface PlantScale {
  readonly lower_kPa: number;
  readonly span_kPa: number;
  readonly atmosphere_kPa: number;
  /** Zero gauge pressure, % of span. */
  readonly floor_percent: number;
  readonly supply_kPa: number;
  readonly margin_kPa: number;
}

export const scaleOf = (settings: PlantSettings): PlantScale => {
  const { lower, upper } = settings.range_kPa ?? { lower: 20, upper: 100 };
  return {
    lower_kPa: lower,
    span_kPa: upper - lower,
    atmosphere_kPa: settings.atmosphere_kPa ?? 101.3,
    floor_percent: (-100 * lower) / (upper - lower),
    supply_kPa: settings.supply?.pressure_kPa ?? 140,
    margin_kPa: settings.supply?.margin_kPa ?? 2,
  };
};

/** Gauge pressure in kPa as % of the plant's span. */
export const asPercent = (scale: PlantScale, gauge_kPa: number): number =>
  (100 * (gauge_kPa - scale.lower_kPa)) / scale.span_kPa;

/** % of span as absolute pressure, kPa. */
export const asAbsolute = (scale: PlantScale, percent: number): number =>
  scale.atmosphere_kPa + scale.lower_kPa + (scale.span_kPa * percent) / 100;
