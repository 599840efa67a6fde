import { createGauge } from "../../../drivers/simulated/physics/gauge.ts";
import { createPlant, type Plant } from "../../../drivers/simulated/physics/plant.ts";
import { type PlantSettings, STEP_S, scaleOf } from "../../../drivers/simulated/physics/plant-settings.ts";
import type { Random } from "../../../drivers/simulated/physics/random.ts";
import {
  type AirSupply,
  type AirSupplySettings,
  createAirSupply,
} from "../../../drivers/simulated/physics/surroundings.ts";
import type { Trace, TracePoint } from "../../../src/analysis/examination/trace.ts";

/** Range of the units of these benchmarks, 20 to 100 kPa. */
export const toPercent = (kPa: number): number => (kPa - 20) / 0.8;
export const toKPa = (percent: number): number => 20 + 0.8 * percent;
export const SPAN_KPA = 80;

/** A plant with supply and gauge, polled about every 0.1 s with jitter: what a test sees of a unit. */
export interface Rig {
  readonly plant: Plant;
  readonly supply: AirSupply;
  /** Holds the input for so long and gives what was seen, times from the call. */
  watch(input_percent: number, for_s: number): TracePoint[];
  /** One step with two seconds before it. */
  jump(name: string, from_percent: number, to_percent: number, watch_s: number): Trace;
  hold(name: string, at_percent: number, for_s: number): Trace;
  stairs(name: string, from_percent: number, step_percent: number, steps: number, dwell_s: number): Trace;
  time_s(): number;
}

export interface RigSettings {
  readonly plant: PlantSettings;
  readonly air?: AirSupplySettings;
  readonly noise_percent?: number;
  readonly filter_s?: number;
  readonly offset_percent?: number;
  /** The supply swings by so much either way. */
  readonly pulsation?: { readonly kPa: number; readonly period_s: number };
}

export const createRig = (settings: RigSettings, random: Random): Rig => {
  const plant = createPlant(settings.plant, random.split("plant"));
  const supply = createAirSupply(settings.air ?? { pressure_kPa: scaleOf(settings.plant).supply_kPa });
  const noise_kPa = ((settings.noise_percent ?? 0.003) / 100) * SPAN_KPA;
  const gauge = createGauge(
    {
      filter_s: settings.filter_s ?? 0,
      update_s: 0.1,
      white_noise: noise_kPa,
      resolution: 0.001,
      offset: ((settings.offset_percent ?? 0) / 100) * SPAN_KPA,
    },
    random.split("gauge"),
    toKPa(plant.output()),
  );
  const jitter = random.split("polls");
  let steps = 0;
  let air: { t_s: number; kPa: number }[] = [];
  const { pulsation } = settings;
  const pressure = (): number =>
    supply.pressure_kPa() +
    (pulsation === undefined ? 0 : pulsation.kPa * Math.sin((2 * Math.PI * steps * STEP_S) / pulsation.period_s));
  const step = (input: number): void => {
    plant.setSupply(pressure());
    plant.advance(STEP_S, input);
    supply.step(plant.inflow());
    gauge.step(toKPa(plant.output()));
    steps += 1;
  };
  const watch = (input: number, for_s: number): TracePoint[] => {
    const begun = steps;
    const seen: TracePoint[] = [];
    air = [];
    let next_s = 0.1 * jitter.uniform(0.9, 1.1);
    for (;;) {
      const t_s = (steps - begun + 1) * STEP_S;
      if (t_s > for_s + 1e-9) return seen;
      step(input);
      if (t_s >= next_s) {
        seen.push({ t_s, kPa: gauge.answer(), input_percent: input });
        air.push({ t_s, kPa: pressure() });
        next_s += 0.1 * jitter.uniform(0.9, 1.1);
      }
    }
  };
  return {
    plant,
    supply,
    watch,
    time_s: () => steps * STEP_S,
    jump: (name, from_percent, to_percent, watch_s) => {
      const before = watch(from_percent, 2).map((s) => ({ ...s, t_s: s.t_s - 2 }));
      const airBefore = air.map((s) => ({ ...s, t_s: s.t_s - 2 }));
      const after = watch(to_percent, watch_s);
      return { name, from_percent, to_percent, samples: [...before, ...after], supply: [...airBefore, ...air] };
    },
    hold: (name, at_percent, for_s) => {
      const samples = watch(at_percent, for_s);
      return { name, from_percent: at_percent, to_percent: at_percent, samples, supply: air };
    },
    stairs: (name, from_percent, step_percent, count, dwell_s) => {
      const samples: TracePoint[] = [];
      for (let i = 0; i <= count; i += 1) {
        const offset = samples.at(-1)?.t_s ?? 0;
        samples.push(...watch(from_percent + i * step_percent, dwell_s).map((s) => ({ ...s, t_s: s.t_s + offset })));
      }
      const to_percent = from_percent + count * step_percent;
      return { name, from_percent, to_percent, samples, supply: [] };
    },
  };
};
