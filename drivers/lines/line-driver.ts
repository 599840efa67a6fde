import { fault } from "../../src/vocabulary/fault.ts";
import { err } from "../../src/vocabulary/result.ts";
import type { DriverEntry } from "../driver-entry.ts";
import { playRole } from "../instruments/play-role.ts";
import { lineDialect } from "./line-dialect.ts";

/** Any instrument that speaks lines of text, described by a line profile. */
export const lineDriver: DriverEntry = {
  name: "line",
  summary: "an instrument that speaks lines of text (serial or TCP), by its line profile",
  roles: ["source", "gauge", "supply-gauge", "current-meter", "ambient", "humidity", "barometer"],
  needs: "link",
  profile: "lines",
  open: (role, setup, { link, timers }) => {
    const { name, profile } = setup;
    if (link === undefined || profile?.kind !== "lines") {
      return err(
        fault("refused", "bad-option", `${name} needs a link and a line profile.`, {
          remedy: "Add what is missing to the bench file.",
        }),
      );
    }
    const station = link.lines({ instrument: name, ...profile.line });
    return playRole(role, setup, profile, lineDialect(name, profile, station), timers);
  },
};
