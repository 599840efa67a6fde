import type { Timers } from "../../src/ports/timers.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { celsius, kPa, mA, type PressureMode, percentHumidity } from "../../src/vocabulary/quantities.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import type { InstrumentOf, InstrumentSetup, Role } from "../driver-entry.ts";
import type { ProfileRole } from "../profiles/profile-fields.ts";
import type { Profile } from "../profiles/read-profile.ts";
import { type AssertedDialect, assertDialect } from "./asserted-dialect.ts";
import type { Dialect } from "./dialect.ts";
import { makeMeter } from "./meter.ts";
import { makeSource } from "./source.ts";

/** Which kinds of instrument may play a role. A source never is the witness of its own current. */
const MAY_PLAY: Readonly<Record<Role, readonly ProfileRole[]>> = {
  source: ["current-source"],
  gauge: ["pressure-gauge"],
  "supply-gauge": ["pressure-gauge", "bench-meter"],
  "current-meter": ["bench-meter"],
  ambient: ["bench-meter"],
  humidity: ["bench-meter"],
  barometer: ["bench-meter"],
};

const READING: Readonly<Record<Exclude<Role, "source">, string>> = {
  gauge: "pressure",
  "supply-gauge": "pressure",
  "current-meter": "current",
  ambient: "temperature",
  humidity: "humidity",
  barometer: "air_pressure",
};

/** Why an instrument with this profile cannot play the role; `null` when it can. */
export const unfitFor = (role: Role, name: string, profile: Profile): Fault | null => {
  if (!MAY_PLAY[role].includes(profile.role)) {
    return fault("refused", "bad-option", `${name} cannot be the ${role}: its profile is one of a ${profile.role}.`, {
      remedy: `A ${role} has to be a ${MAY_PLAY[role].join(" or ")}.`,
    });
  }
  if (role === "source" || profile.readings[READING[role]] !== undefined) return null;
  return fault("refused", "bad-option", `${name} cannot be the ${role}: its profile reads no ${READING[role]}.`, {
    remedy: `Choose an instrument whose profile has the reading ${READING[role]}.`,
  });
};

const modeOf = (setup: InstrumentSetup, profile: Profile): PressureMode => {
  const wanted = profile.settings["mode"]?.wanted;
  const known = wanted === "absolute" || wanted === "differential" || wanted === "gauge" ? wanted : "gauge";
  return setup.mode ?? known;
};

type Makers = { readonly [R in Role]: () => InstrumentOf[R] };

/** The instrument that plays the role over the dialect, with identity and settings asserted. */
export const playRole = <R extends Role>(
  role: R,
  setup: InstrumentSetup,
  profile: Profile,
  dialect: Dialect,
  timers: Timers,
): Result<InstrumentOf[R], Fault> => {
  const unfit = unfitFor(role, setup.name, profile);
  if (unfit !== null) return err(unfit);
  const { name, range, serial_number } = setup;
  const mode = modeOf(setup, profile);
  // What a pressure is measured against is asserted only where the instrument can say so.
  const wanted: Record<string, string> = profile.settings["mode"] === undefined ? {} : { mode };
  const asserted: AssertedDialect = assertDialect(dialect, { name, serial_number, wanted });
  const common = { name, range, timers };
  const pressure = () =>
    makeMeter({ ...common, quantity: "pressure", reading: "pressure", wrap: (v) => ({ kPa: kPa(v), mode }) }, asserted);
  const barometer = () =>
    makeMeter(
      {
        ...common,
        quantity: "pressure",
        reading: "air_pressure",
        wrap: (v) => ({ kPa: kPa(v), mode: "absolute" as const }),
      },
      asserted,
    );
  const makers: Makers = {
    source: () => makeSource(common, asserted),
    gauge: pressure,
    "supply-gauge": pressure,
    "current-meter": () =>
      makeMeter({ ...common, quantity: "current", reading: "current", wrap: (v) => ({ mA: mA(v) }) }, asserted),
    ambient: () =>
      makeMeter(
        { ...common, quantity: "temperature", reading: "temperature", wrap: (v) => ({ degC: celsius(v) }) },
        asserted,
      ),
    humidity: () =>
      makeMeter(
        { ...common, quantity: "humidity", reading: "humidity", wrap: (v) => ({ percentRH: percentHumidity(v) }) },
        asserted,
      ),
    barometer,
  };
  return ok(makers[role]());
};
