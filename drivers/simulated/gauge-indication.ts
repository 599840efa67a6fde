import { fromKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import type { GaugeState, SimulatedBench } from "./simulated-bench.ts";

export const gaugeInUnit = (state: GaugeState, pressure_kPa: number): number =>
  fromKilopascal(kPa(pressure_kPa), state.unit);

/** What the gauge answers, in kPa: its display, or what it holds, in the mode it has been left in, less the tare; NaN with a broken sensor. */
export const gaugeIndication_kPa = (bench: SimulatedBench): number => {
  const state = bench.gaugeState;
  if (state.sensor_fault) return Number.NaN;
  const { output } = bench.settings.transfer;
  const atmosphere_kPa = bench.settings.converter.atmosphere_kPa ?? 101.3;
  const above_kPa =
    (state.mode === "absolute" ? atmosphere_kPa : 0) - (output.mode === "absolute" ? atmosphere_kPa : 0);
  return (state.hold?.kPa ?? bench.gauge.answer()) + above_kPa - state.tare_kPa;
};

/** Puts the display in hold, or lets it run again. */
export const holdGauge = (bench: SimulatedBench, on: boolean): void => {
  bench.gaugeState.hold = on ? { kPa: bench.gauge.shown(), count: bench.gauge.count() } : null;
};

/** The same in the unit the gauge has been left in. */
export const gaugeIndication = (bench: SimulatedBench): number =>
  gaugeInUnit(bench.gaugeState, gaugeIndication_kPa(bench));
