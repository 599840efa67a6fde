import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { DriverEntry, InstrumentOf, Role } from "../driver-entry.ts";
import { personGauge } from "./person-gauge.ts";
import { personSource } from "./person-source.ts";

const needs = (name: string, what: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", `${name} is worked by hand and ${what}.`));

/** A hand-held source or a dial gauge that the technician works and reads. */
export const personDriver: DriverEntry = {
  name: "person",
  summary: "a hand-held source or a gauge that the technician works and reads when asked",
  roles: ["source", "gauge", "supply-gauge"],
  needs: "none",
  open: <R extends Role>(
    role: R,
    setup: Parameters<DriverEntry["open"]>[1],
    world: Parameters<DriverEntry["open"]>[2],
  ) => {
    const { name, serial_number, range, mode, resolution } = setup;
    const { prompter, timers, stamp } = world;
    if (prompter === undefined) return needs(name, "nobody is there to ask");
    if (resolution === undefined) return needs(name, "needs its resolution in the bench file: how well it can be read");
    const common = { name, serial_number, range, prompter, timers, stamp };
    const made: Partial<{ readonly [Each in Role]: InstrumentOf[Each] }> =
      role === "source"
        ? { source: personSource({ ...common, readability_mA: resolution }) }
        : { [role]: personGauge({ ...common, mode: mode ?? "gauge", readability_kPa: resolution }) };
    const instrument: InstrumentOf[R] | undefined = made[role];
    return instrument === undefined || !personDriver.roles.includes(role)
      ? needs(name, `cannot be the ${role}`)
      : ok(instrument);
  },
};
