import type { DeviceName } from "./bench-settings.ts";
import { type RegisterField, textField } from "./register-fields.ts";
import type { SimulatedBench } from "./simulated-bench.ts";

/** What the simulated instruments say of themselves: every one says that it is simulated. */
const MODELS: Readonly<Record<DeviceName, string>> = {
  gauge: "SIMULATED reference gauge",
  source: "SIMULATED loop source",
  meter: "SIMULATED bench meter",
  service: "SIMULATED bench service",
};

export interface DeviceIdentity {
  readonly maker: string;
  readonly model: string;
  readonly serial_number: string;
  readonly version: string;
}

export const identityOf = (bench: SimulatedBench, device: DeviceName): DeviceIdentity => ({
  maker: "SIMULATED instruments",
  model: MODELS[device],
  serial_number: bench.settings.serial_numbers[device],
  version: "1",
});

/** Maker, model and serial number, as every register profile here has them. */
export const identityFields = (identity: DeviceIdentity): readonly RegisterField[] => [
  textField(0, 16, identity.maker),
  textField(16, 16, identity.model),
  textField(32, 16, identity.serial_number),
];
