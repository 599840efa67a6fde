import { type SimulatedBenchSettings, settingsFromWishes } from "../../drivers/simulated/bench-settings.ts";
import type { BenchFile } from "../config/bench-file.schema.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { safeCurrentOf, transferOf } from "../config/unit-values.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** What the simulated bench is made of: the wishes of the bench file, for this unit, with the serial numbers of the station. */
export const simulatedSettings = (
  bench: BenchFile,
  station: string,
  unit: UnitFile,
): Result<SimulatedBenchSettings, Fault> => {
  const wishes = bench.simulation;
  const slots = bench.stations[station];
  if (wishes === undefined || slots === undefined) {
    return err(
      fault("refused", "bad-file", `The bench ${bench.name} has no simulation section, so it is a real bench.`, {
        remedy: "Use a bench file with a simulation section, such as bench-configs/simulated-serial.yaml.",
      }),
    );
  }
  const serial = (name: string | undefined): string | undefined =>
    name === undefined ? undefined : bench.instruments[name]?.serial_number;
  const meter = serial(slots.current_meter ?? slots.supply_gauge ?? slots.ambient ?? slots.humidity ?? slots.barometer);
  const settings = settingsFromWishes(
    { ...wishes, supply_kPa: wishes.supply?.kPa ?? unit.supply.nominal.kPa },
    transferOf(unit),
    {
      source: serial(slots.source) ?? "SIM-SOURCE",
      gauge: serial(slots.gauge) ?? "SIM-GAUGE",
      ...(meter === undefined ? {} : { meter }),
    },
  );
  return ok({ ...settings, start_mA: safeCurrentOf(unit) });
};
