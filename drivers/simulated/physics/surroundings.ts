import { createFirstOrder } from "./lags.ts";
import { STEP_S } from "./plant-settings.ts";
import type { Random } from "./random.ts";

/** Air supply behind a regulator: it droops while the converter draws air. */
export interface AirSupplySettings {
  /** Set pressure, gauge, kPa. */
  readonly pressure_kPa: number;
  /** Droop per filling rate, kPa per % of span per second; 0.02 if left out. */
  readonly droop_kPa_s_per_percent?: number;
  /** Time in which the regulator recovers; 0.5 s if left out. */
  readonly recovery_s?: number;
}

export interface AirSupply {
  /** One step of 20 ms with the filling rate of the converter. */
  step(inflow_percent_per_s: number): void;
  set(gauge_kPa: number): void;
  /** The pressure the regulator is set to, gauge, kPa. */
  setting_kPa(): number;
  pressure_kPa(): number;
}

export const createAirSupply = (settings: AirSupplySettings): AirSupply => {
  const droop = createFirstOrder(settings.recovery_s ?? 0.5, STEP_S);
  const gain = settings.droop_kPa_s_per_percent ?? 0.02;
  let set_kPa = settings.pressure_kPa;
  let pressure = set_kPa;
  return {
    step: (inflow) => {
      // An ideal converter fills in no time; no regulator droops by more than half of its setting for that.
      pressure = set_kPa - Math.min(droop.advance(gain * inflow), set_kPa / 2);
    },
    set: (gauge_kPa) => {
      set_kPa = gauge_kPa;
    },
    setting_kPa: () => set_kPa,
    pressure_kPa: () => pressure,
  };
};

/** Room temperature, a slow daily wave with a start phase of its own, and humidity. */
export interface AmbientSettings {
  readonly mean_degC?: number;
  /** Half of the swing. */
  readonly swing_degC?: number;
  readonly period_s?: number;
  readonly humidity_percent?: number;
}

export interface Ambient {
  temperature_degC(t_s: number): number;
  humidity_percent(): number;
}

export const createAmbient = (settings: AmbientSettings, random: Random): Ambient => {
  const phase = random.uniform();
  const mean = settings.mean_degC ?? 21;
  const swing = settings.swing_degC ?? 0.4;
  const period_s = settings.period_s ?? 3600;
  return {
    temperature_degC: (t_s) => mean + swing * Math.sin(2 * Math.PI * (t_s / period_s + phase)),
    humidity_percent: () => settings.humidity_percent ?? 45,
  };
};
