import type { RegisterBank } from "../frames/register-slave.ts";
import type { DeviceName } from "./bench-settings.ts";
import { deviceLines } from "./device-lines.ts";
import { deviceRegisters } from "./device-registers.ts";
import type { SimulatedBench } from "./simulated-bench.ts";

/** One simulated instrument at the end of a wire: it hears a request at the present simulated time, or does not hear it. */
export interface WiredDevice {
  readonly bank: RegisterBank;
  /** Draws whether a request that has arrived is heard; a source counts it for its fallback. */
  hears(): boolean;
}

export interface WiredLines {
  /** Answer without its ending; null when there is none. */
  receive(line: string): string | null;
}

/** Brings a bench to the present, and notes that a device was spoken to. */
const hearing = (bench: SimulatedBench, device: DeviceName): boolean => {
  if (bench.silent[device]) return false;
  if (device === "gauge" && bench.gauge.lost()) return false;
  if (device === "source") bench.source.touch();
  return true;
};

export const wireRegisters = (bench: SimulatedBench, device: DeviceName, factor: number): WiredDevice => ({
  bank: deviceRegisters(bench, device, factor),
  hears: () => hearing(bench, device),
});

export const wireLines = (bench: SimulatedBench, device: "gauge" | "source"): WiredLines => {
  const instrument = deviceLines(bench, device);
  return { receive: (line) => (hearing(bench, device) ? instrument.receive(line) : null) };
};

/** The same bank, which takes a broadcast only while its device hears. */
export const broadcastBank = ({ bank, hears }: WiredDevice): RegisterBank => ({
  ...bank,
  writeHolding: (address, values) => hears() && bank.writeHolding(address, values),
  writeCoils: (address, values) => hears() && bank.writeCoils(address, values),
});
