import { fault } from "../../src/vocabulary/fault.ts";
import { err } from "../../src/vocabulary/result.ts";
import type { DriverEntry } from "../driver-entry.ts";
import { playRole } from "../instruments/play-role.ts";
import { registerDialect } from "./register-dialect.ts";

/** Any instrument that speaks Modbus, described by a register profile. */
export const registerDriver: DriverEntry = {
  name: "register",
  summary: "an instrument that speaks Modbus registers (RTU on a serial line, or TCP), by its register profile",
  roles: ["source", "gauge", "supply-gauge", "current-meter", "ambient", "humidity", "barometer"],
  needs: "link",
  profile: "registers",
  addressed: true,
  open: (role, setup, { link, timers }) => {
    const { name, profile, address } = setup;
    if (link === undefined || address === undefined || profile?.kind !== "registers") {
      return err(
        fault("refused", "bad-option", `${name} needs a link, a unit address and a register profile.`, {
          remedy: "Add what is missing to the bench file.",
        }),
      );
    }
    const station = link.registers({ instrument: name, unit: address });
    return playRole(role, setup, profile, registerDialect(name, profile, station), timers);
  },
};
