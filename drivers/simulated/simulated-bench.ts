import { mA } from "../../src/vocabulary/quantities.ts";
import { idealOutput, percentOf } from "../../src/vocabulary/signal-range.ts";
import type { DeviceName, SimulatedBenchSettings } from "./bench-settings.ts";
import { createGauge, type Gauge } from "./physics/gauge.ts";
import { createLoopSource, type LoopSource } from "./physics/loop-source.ts";
import { createPlant, type Plant } from "./physics/plant.ts";
import { type PlantSettings, STEP_S } from "./physics/plant-settings.ts";
import { createRandom } from "./physics/random.ts";
import { type AirSupply, createAirSupply, createAmbient } from "./physics/surroundings.ts";

/** How the simulated gauge has been left by whoever used it last. */
export interface GaugeState {
  unit: "Pa" | "kPa" | "bar" | "psi";
  mode: "gauge" | "absolute" | "differential";
  tare_kPa: number;
  sensor_fault: boolean;
  not_warmed_up: boolean;
  /** What a display in hold goes on showing; null when it runs. */
  hold: { readonly kPa: number; readonly count: number } | null;
  /** Order of words and bytes in which the pressure is given over registers. */
  word_order: "ABCD" | "CDAB" | "BADC" | "DCBA";
  /** Registers by which the measured values lie later than the map says. */
  address_shift: number;
}

/** What is true, whatever the instruments say. */
interface BenchTruth {
  /** At the gauge port, in the output's own mode. */
  readonly pressure_kPa: number;
  /** Where the pressure is heading. */
  readonly target_kPa: number;
  readonly current_mA: number;
  readonly supply_kPa: number;
  readonly temperature_degC: number;
  readonly humidity_percent: number;
  /** Of the room, absolute. */
  readonly air_pressure_kPa: number;
}

/** Source, converter, tubing, gauge, bench meter, air supply and room, advanced together on demand. */
export interface SimulatedBench {
  readonly settings: SimulatedBenchSettings;
  /** The converter as its physics sees it, for `trueErrors` and the like. */
  readonly plantSettings: PlantSettings;
  readonly plant: Plant;
  readonly source: LoopSource;
  readonly supply: AirSupply;
  readonly gauge: Gauge;
  readonly gaugeState: GaugeState;
  readonly meter: { readonly current: Gauge; readonly pressure: Gauge; readonly temperature: Gauge };
  /** Instruments that give no answer at all, as if unplugged. */
  readonly silent: Record<DeviceName, boolean>;
  /** Runs the bench on to simulated time `t_s`, counted from its making; an earlier time changes nothing. */
  advanceTo(t_s: number): void;
  /** Runs the bench on by `dt_s`; what is left of a step of 20 ms is kept for the next call. */
  advanceBy(dt_s: number): void;
  time_s(): number;
  truth(): BenchTruth;
}

/** A bench at rest at `settings.start_mA`. The same settings give the same readings, to the last bit. */
export const createSimulatedBench = (settings: SimulatedBenchSettings): SimulatedBench => {
  const random = createRandom(settings.seed);
  const { transfer } = settings;
  const { supply_effect_percent_per_kPa, ...converter } = settings.converter;
  const atmosphere_kPa = converter.atmosphere_kPa ?? 101.3;
  const above_kPa = transfer.output.mode === "absolute" ? atmosphere_kPa : 0;
  const span_kPa = transfer.output.upper_kPa - transfer.output.lower_kPa;
  const inputPercent = (current_mA: number): number =>
    percentOf(transfer.output, idealOutput(transfer, mA(current_mA)));
  const pressureOf = (percent: number): number => transfer.output.lower_kPa + (span_kPa * percent) / 100;

  const source = createLoopSource(settings.source, settings.start_mA);
  const plantSettings: PlantSettings = {
    ...converter,
    range_kPa: { lower: transfer.output.lower_kPa - above_kPa, upper: transfer.output.upper_kPa - above_kPa },
    initial_percent: converter.initial_percent ?? inputPercent(source.current_mA()),
    supply: {
      pressure_kPa: settings.supply.pressure_kPa,
      ...(supply_effect_percent_per_kPa === undefined ? {} : { effect_percent_per_kPa: supply_effect_percent_per_kPa }),
    },
  };
  const plant = createPlant(plantSettings, random.split("converter"));
  const supply = createAirSupply(settings.supply);
  const ambient = createAmbient(settings.ambient, random.split("room"));
  const gauge = createGauge(settings.gauge, random.split("gauge"), pressureOf(plant.output()));
  const meter = {
    current: createGauge(settings.meter.current, random.split("current meter"), source.current_mA()),
    pressure: createGauge(settings.meter.pressure, random.split("supply meter"), supply.pressure_kPa()),
    temperature: createGauge(settings.meter.temperature, random.split("thermometer"), ambient.temperature_degC(0)),
  };

  let steps = 0;
  let lastCurrent = Number.NaN;
  let input = 0;

  const step = (): void => {
    source.step();
    const current = source.current_mA();
    if (current !== lastCurrent) {
      lastCurrent = current;
      input = inputPercent(current);
    }
    plant.setSupply(supply.pressure_kPa());
    plant.advance(STEP_S, input);
    supply.step(plant.inflow());
    steps += 1;
    gauge.step(pressureOf(plant.output()));
    meter.current.step(current);
    meter.pressure.step(supply.pressure_kPa());
    meter.temperature.step(ambient.temperature_degC(steps * STEP_S));
  };

  let clock_s = 0;
  const advanceTo = (t_s: number): void => {
    clock_s = Math.max(clock_s, t_s);
    // A millionth of a step absorbs the rounding of the caller's clock.
    while ((steps + 1) * STEP_S <= clock_s + STEP_S * 1e-6) step();
  };

  return {
    settings,
    plantSettings,
    plant,
    source,
    supply,
    gauge,
    gaugeState: {
      unit: "kPa",
      mode: transfer.output.mode,
      tare_kPa: 0,
      sensor_fault: false,
      not_warmed_up: false,
      hold: null,
      word_order: "ABCD",
      address_shift: 0,
    },
    meter,
    silent: { gauge: false, source: false, meter: false, service: false },
    advanceTo,
    advanceBy: (dt_s) => advanceTo(clock_s + Math.max(0, dt_s)),
    time_s: () => steps * STEP_S,
    truth: () => ({
      pressure_kPa: pressureOf(plant.output()),
      target_kPa: pressureOf(plant.target()),
      current_mA: source.current_mA(),
      supply_kPa: supply.pressure_kPa(),
      temperature_degC: ambient.temperature_degC(steps * STEP_S),
      humidity_percent: ambient.humidity_percent(),
      air_pressure_kPa: atmosphere_kPa,
    }),
  };
};
