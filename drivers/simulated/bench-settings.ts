import { kPa, mA } from "../../src/vocabulary/quantities.ts";
import type { Transfer } from "../../src/vocabulary/signal-range.ts";
import type { GaugeSettings } from "./physics/gauge.ts";
import { playsOfWidth } from "./physics/hysteresis.ts";
import type { LoopSourceSettings } from "./physics/loop-source.ts";
import type { PlantSettings } from "./physics/plant-settings.ts";
import { usualScrews } from "./physics/screws.ts";
import type { AirSupplySettings, AmbientSettings } from "./physics/surroundings.ts";

export type DeviceName = "gauge" | "source" | "meter" | "service";

/** What a simulated bench is made of. What is left out is ideal, or the usual of `usualBench`. */
export interface SimulatedBenchSettings {
  readonly seed: number;
  /** What the converter ought to do. */
  readonly transfer: Transfer;
  /** % of span; the range comes from `transfer`. */
  readonly converter: Omit<PlantSettings, "range_kPa" | "supply"> & {
    readonly supply_effect_percent_per_kPa?: number;
  };
  /** In kPa of the output's own mode. */
  readonly gauge: GaugeSettings & { readonly lower_kPa?: number; readonly upper_kPa?: number };
  readonly source: LoopSourceSettings;
  readonly supply: AirSupplySettings;
  readonly ambient: AmbientSettings;
  /** The bench meter's channels, in mA, kPa and degC. */
  readonly meter: {
    readonly current: GaugeSettings;
    readonly pressure: GaugeSettings;
    readonly temperature: GaugeSettings;
  };
  /** Current that flows when the bench is made. */
  readonly start_mA: number;
  readonly serial_numbers: Readonly<Record<DeviceName, string>>;
}

/** 4-20 mA to 20-100 kPa, direct, linear. */
export const usualTransfer: Transfer = {
  input: { lower_mA: mA(4), upper_mA: mA(20) },
  output: { lower_kPa: kPa(20), upper_kPa: kPa(100), unit: "kPa", mode: "gauge" },
  action: "direct",
  characteristic: "linear",
};

const usualSerialNumbers: Readonly<Record<DeviceName, string>> = {
  gauge: "SIM-GAUGE-1",
  source: "SIM-SOURCE-1",
  meter: "SIM-METER-1",
  service: "SIM-SERVICE-1",
};

/** Plain wishes, as a person writes them for a simulated bench. Percent is of the output span. */
export interface SimulationWishes {
  readonly seed: number;
  readonly converter: {
    readonly zero_error: number;
    readonly span_error: number;
    readonly bow: number;
    /** Loop width. */
    readonly hysteresis: number;
    readonly dead_band: number;
    /** Share of a step that creeps in late, with 60 s. */
    readonly creep: number;
    /** Main time constant, s. */
    readonly response: number;
    /** Time constant of tubing and gauge volume, s. */
    readonly tubing: number;
    /** % of span per minute at full output; a working converter makes up for nearly all of it, a closed valve shows it. */
    readonly leak: number;
  };
  /** Standard deviation, % of span. */
  readonly gauge_noise: number;
  readonly gauge_offset: number;
  readonly supply_kPa: number;
}

export const usualWishes: SimulationWishes = {
  seed: 1,
  converter: {
    zero_error: 0,
    span_error: 0,
    bow: 0,
    hysteresis: 0,
    dead_band: 0,
    creep: 0,
    response: 0.8,
    tubing: 0.2,
    leak: 0,
  },
  gauge_noise: 0.003,
  gauge_offset: 0,
  supply_kPa: 140,
};

/** Turns wishes into full settings: adds dead time, a relay, screws with interplay, and instruments of a usual kind. */
export const settingsFromWishes = (
  wishes: SimulationWishes = usualWishes,
  transfer: Transfer = usualTransfer,
  serial_numbers: Partial<Readonly<Record<DeviceName, string>>> = {},
): SimulatedBenchSettings => {
  const { converter } = wishes;
  const span_kPa = transfer.output.upper_kPa - transfer.output.lower_kPa;
  const share_kPa = span_kPa / 100;
  return {
    seed: wishes.seed,
    transfer,
    converter: {
      dead_time_s: 0.1,
      zero_error_percent: converter.zero_error,
      span_error_percent: converter.span_error,
      bow_percent: converter.bow,
      plays: playsOfWidth(converter.hysteresis),
      dead_band_percent: converter.dead_band,
      ...(converter.creep === 0 ? {} : { creep: { share: converter.creep, tau_s: 60 } }),
      core: { kind: "lags", first_s: converter.response, second_s: 0.3 * converter.response },
      relay: { rate_percent_per_s: 60, exhaust_ratio: 0.7, band_percent: 5 },
      tubing_s: converter.tubing,
      leak_percent_per_min: converter.leak,
      screws: usualScrews,
    },
    gauge: {
      filter_s: 0.1,
      update_s: 0.1,
      offset: wishes.gauge_offset * share_kPa,
      white_noise: wishes.gauge_noise * share_kPa,
      slow_noise: 0.3 * wishes.gauge_noise * share_kPa,
      resolution: 0.001,
      lower_kPa: transfer.output.mode === "absolute" ? 0 : -5,
      upper_kPa: transfer.output.upper_kPa + span_kPa,
    },
    source: {},
    supply: { pressure_kPa: wishes.supply_kPa },
    ambient: {},
    meter: {
      current: { filter_s: 0.05, update_s: 0.2, white_noise: 0.0003, resolution: 0.0001 },
      pressure: { filter_s: 0.2, update_s: 0.5, white_noise: 0.02, resolution: 0.01 },
      temperature: { filter_s: 5, update_s: 1, white_noise: 0.01, resolution: 0.01 },
    },
    start_mA: transfer.action === "direct" ? transfer.input.lower_mA : transfer.input.upper_mA,
    serial_numbers: { ...usualSerialNumbers, ...serial_numbers },
  };
};
