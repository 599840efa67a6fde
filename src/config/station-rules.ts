import type { BenchFile, InstrumentSettings, StationSettings } from "./bench-file.schema.ts";
import type { FilePath } from "./file-fault.ts";
import { didYouMean } from "./instrument-rules.ts";
import { type KnownParts, ROLES_OF_PROFILE, type StationRole } from "./known-drivers.ts";
import type { Blame } from "./read-file.ts";
import { referencesOf } from "./reference-values.ts";

type Slot = Exclude<keyof StationSettings, "height_difference">;

const SLOTS: readonly {
  readonly slot: Slot;
  readonly role: StationRole;
  readonly quantity: "pressure" | "current" | "temperature" | "humidity" | "air_pressure";
  readonly noun: string;
}[] = [
  { slot: "source", role: "source", quantity: "current", noun: "current source" },
  { slot: "gauge", role: "gauge", quantity: "pressure", noun: "reference gauge" },
  { slot: "supply_gauge", role: "supply-gauge", quantity: "pressure", noun: "supply gauge" },
  { slot: "current_meter", role: "current-meter", quantity: "current", noun: "current meter" },
  { slot: "ambient", role: "ambient", quantity: "temperature", noun: "ambient thermometer" },
  { slot: "humidity", role: "humidity", quantity: "humidity", noun: "hygrometer" },
  { slot: "barometer", role: "barometer", quantity: "air_pressure", noun: "barometer" },
];

/** Pairs that must be two instruments, and why. */
const APART: readonly (readonly [Slot, Slot, string])[] = [
  ["gauge", "source", "A source drives a current and a gauge reads a pressure: they are two instruments."],
  ["current_meter", "source", "A meter that is the source itself proves nothing; leave current_meter out."],
  ["supply_gauge", "gauge", "The supply and the output are two pressures, read by two instruments."],
];

const rolesOf = (instrument: InstrumentSettings, known: KnownParts): readonly StationRole[] => {
  const driver = known.drivers.find((each) => each.name === instrument.driver);
  const profile = known.profiles.find((each) => each.name === instrument.profile);
  const byDriver = driver?.roles ?? SLOTS.map(({ role }) => role);
  if (profile === undefined) return byDriver;
  return byDriver.filter((role) => ROLES_OF_PROFILE[profile.role]?.includes(role));
};

/** True when all slots of the station name fitting instruments. The first one that does not fit is told. */
const checkSlots = (path: FilePath, station: StationSettings, bench: BenchFile, known: KnownParts, blame: Blame) => {
  const names = Object.keys(bench.instruments);
  for (const { slot } of SLOTS) {
    const name = station[slot];
    if (name === undefined || bench.instruments[name] !== undefined) continue;
    blame([...path, slot], {
      code: "unknown-name",
      message: `There is no instrument ${name}.`,
      remedy: `${didYouMean(name, names)}Instruments of this bench are ${names.join(", ")}.`,
    });
    return false;
  }
  for (const [slot, other, why] of APART) {
    if (station[slot] === undefined || station[slot] !== station[other]) continue;
    blame([...path, slot], {
      code: "contradiction",
      message: `${station[slot]} is named both as ${slot} and as ${other}.`,
      remedy: why,
    });
    return false;
  }
  for (const { slot, role, quantity, noun } of SLOTS) {
    const name = station[slot];
    const instrument = name === undefined ? undefined : bench.instruments[name];
    if (name === undefined || instrument === undefined) continue;
    const fitting = names.filter((each) => {
      const candidate = bench.instruments[each];
      return candidate?.[quantity] !== undefined && rolesOf(candidate, known).includes(role);
    });
    const choose = fitting.length === 0 ? "" : ` Instruments that can: ${fitting.join(", ")}.`;
    if (instrument[quantity] === undefined) {
      blame([...path, slot], {
        code: "wrong-role",
        message: `${name} cannot be the ${noun}: it has no ${quantity}.`,
        remedy: `Add ${quantity}: to ${name} if it has one, or name another.${choose}`,
      });
      return false;
    }
    if (!rolesOf(instrument, known).includes(role)) {
      const by = instrument.profile === undefined ? `driver ${instrument.driver}` : `profile ${instrument.profile}`;
      const at = instrument.profile === undefined ? "driver" : "profile";
      blame(["instruments", name, at], {
        code: "wrong-role",
        message: `The ${by} does not make a ${noun}, but ${path.at(-1)} uses ${name} as one.`,
        remedy: `Choose a ${at} for a ${noun}, or name another instrument as ${slot}.${choose}`,
      });
      return false;
    }
  }
  return true;
};

const checkHeight = (path: FilePath, { height_difference: height }: StationSettings, blame: Blame): void => {
  if (height === undefined || height.m >= 0) return;
  blame([...path, "height_difference"], {
    code: "bad-value",
    message: `The height difference is ${height.text}, but which of the two is higher does not count.`,
    remedy: "Write it without a sign; 0 m when gauge and unit are level.",
  });
};

const checkReferences = (path: FilePath, stationName: string, bench: BenchFile, blame: Blame): void => {
  const { pressure, current } = referencesOf(bench, stationName);
  if (pressure !== null && pressure.measured.certificate === undefined) {
    blame(["instruments", pressure.name, "pressure", "certificate"], {
      code: "missing-key",
      message: `${pressure.name} is the pressure reference of ${stationName}, but has no certificate.`,
      remedy: "Add certificate: with number, laboratory, date, due, U and k from its last calibration.",
    });
  }
  if (current !== null && current.measured.certificate === undefined) {
    blame([...path, "source"], {
      code: "missing-key",
      message: `No instrument of ${stationName} has a certificate for the current.`,
      remedy: `Add certificate: under current: of ${current.name}, or name a current_meter that has one.`,
    });
  }
};

const checkLimits = (path: FilePath, station: StationSettings, bench: BenchFile, blame: Blame): void => {
  const { limits } = bench;
  const gauge = bench.instruments[station.gauge]?.pressure;
  const source = bench.instruments[station.source]?.current;
  if (gauge !== undefined && gauge.mode === "gauge" && limits.pressure.kPa > gauge.upper.kPa) {
    blame(["limits", "pressure"], {
      code: "contradiction",
      message: `The pressure limit ${limits.pressure.text} is above the range of ${station.gauge} (${path.at(-1)}), which ends at ${gauge.upper.text}.`,
      remedy: `Write at most ${gauge.upper.text}, so that the reference is never over its range.`,
    });
  }
  if (source !== undefined && limits.current.upper.mA > source.upper.mA) {
    blame(["limits", "current", "upper"], {
      code: "contradiction",
      message: `The current limit ${limits.current.upper.text} is above what ${station.source} (${path.at(-1)}) can drive, ${source.upper.text}.`,
      remedy: `Write at most ${source.upper.text}.`,
    });
  }
};

/**
 * Every station names instruments that exist, fit, and have what its results rest on. `sound`: nothing was wrong with
 * the instruments themselves; only then are their figures worth comparing.
 */
export const checkStations = (bench: BenchFile, known: KnownParts, sound: boolean, blame: Blame): void => {
  const stations = Object.entries(bench.stations);
  if (stations.length === 0) {
    blame(["stations"], {
      code: "missing-key",
      message: "The bench has no station.",
      remedy: "Add one, such as station-1:, with its source and its gauge.",
    });
  }
  for (const [name, station] of stations) {
    const path = ["stations", name];
    if (!checkSlots(path, station, bench, known, blame) || !sound) continue;
    checkHeight(path, station, blame);
    checkReferences(path, name, bench, blame);
    checkLimits(path, station, bench, blame);
  }
};
