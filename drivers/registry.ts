import { type Fault, fault } from "../src/vocabulary/fault.ts";
import { err, type Result } from "../src/vocabulary/result.ts";
import type { DriverEntry, DriverWorld, InstrumentOf, InstrumentSetup, Role } from "./driver-entry.ts";
import { lineDriver } from "./lines/line-driver.ts";
import { personDriver } from "./person/person-driver.ts";
import { registerDriver } from "./registers/register-driver.ts";

/** Every driver there is, one line each. Simulated instruments need none: they answer over the same wires. */
export const drivers: readonly DriverEntry[] = [registerDriver, lineDriver, personDriver];

/** Opens an instrument in a role. Nothing is sent yet; the first call asks who it is. */
export const openInstrument = <R extends Role>(
  driver: string,
  role: R,
  setup: InstrumentSetup,
  world: DriverWorld,
): Result<InstrumentOf[R], Fault> => {
  const entry = drivers.find(({ name }) => name === driver);
  if (entry === undefined) {
    return err(
      fault("refused", "bad-option", `There is no driver ${driver}, which ${setup.name} asks for.`, {
        remedy: `Drivers are ${drivers.map(({ name }) => name).join(", ")}.`,
      }),
    );
  }
  if (!entry.roles.includes(role)) {
    return err(
      fault("refused", "bad-option", `${setup.name} cannot be the ${role}: the driver ${driver} does not do that.`, {
        remedy: `It can be ${entry.roles.join(", ")}.`,
      }),
    );
  }
  return entry.open(role, setup, world);
};
