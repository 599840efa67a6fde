import { fromKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import type { GaugeState, SimulatedBench } from "./simulated-bench.ts";

export const gaugeInUnit = (state: GaugeState, pressure_kPa: number): number =>
  fromKilopascal(kPa(pressure_kPa), state.unit);

/** What the gauge answers: its display less the tare, in the unit it has been left in; not a number with a broken sensor. */
export const gaugeIndication = (bench: SimulatedBench): number => {
  const state = bench.gaugeState;
  if (state.sensor_fault) return Number.NaN;
  const { output } = bench.settings.transfer;
  const atmosphere_kPa = bench.settings.converter.atmosphere_kPa ?? 101.3;
  const above_kPa =
    (state.mode === "absolute" ? atmosphere_kPa : 0) - (output.mode === "absolute" ? atmosphere_kPa : 0);
  return gaugeInUnit(state, bench.gauge.answer() + above_kPa - state.tare_kPa);
};
