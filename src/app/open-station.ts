import type { DriverWorld, InstrumentOf, InstrumentSetup, Role } from "../../drivers/driver-entry.ts";
import { type LinkPlace, makeLinkTo } from "../../drivers/links/make-link-to.ts";
import { wallTimers } from "../../drivers/links/wall-timers.ts";
import { readProfile } from "../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../drivers/registry.ts";
import type { BenchFile, InstrumentSettings, LinkSettings } from "../config/bench-file.schema.ts";
import { isSimulatedLink } from "../config/bench-file.ts";
import type { Link } from "../ports/link.ts";
import type { Prompter } from "../ports/prompter.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { type Second, seconds } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { StationInstruments } from "./bench-streams.ts";
import type { Endpoints } from "./endpoints.ts";

export interface OpenStation {
  readonly instruments: StationInstruments;
  readonly links: readonly Link[];
  close(): Promise<void>;
}

export interface StationWorld {
  /** Instant on the run's clock. */
  readonly stamp: () => Second;
  /** Where simulated links are served. */
  readonly endpoints: Endpoints | null;
  readonly prompter?: Prompter | undefined;
}

/** Wire settings of a link: as the bench file says, or where the simulated bench serves it. */
const placeOf = (name: string, link: LinkSettings, endpoints: Endpoints | null): LinkPlace | null => {
  const served = isSimulatedLink(link) ? endpoints?.links[name] : undefined;
  if (isSimulatedLink(link) && served?.kind !== link.kind) return null;
  if (link.kind === "tcp") {
    return served?.kind === "tcp" ? served : { kind: "tcp", host: link.host, port: link.port };
  }
  const { baud, parity, data_bits, stop_bits } = link;
  return {
    kind: "serial",
    port: served?.kind === "serial" ? served.path : link.port,
    baud,
    parity,
    data_bits,
    stop_bits,
  };
};

/** Makes the link of a bench file; nothing is opened yet. */
export const openLink = (
  name: string,
  link: LinkSettings,
  world: Pick<StationWorld, "stamp" | "endpoints">,
): Result<Link, Fault> => {
  const place = placeOf(name, link, world.endpoints);
  if (place === null) {
    return err(
      fault("refused", "bad-file", `The link ${name} is simulated, but no simulated bench serves it.`, {
        remedy:
          "Leave --simulator out to have one started, or give the endpoints file of one that serves this bench file.",
      }),
    );
  }
  const timing = {
    answer_deadline_s: link.answer_deadline.s,
    quiet_after_trouble_s: link.quiet_after_trouble.s,
  };
  return ok(makeLinkTo(name, place, timing, { stamp: world.stamp }));
};

interface Measured {
  readonly lower: number;
  readonly upper: number;
  readonly resolution: number | undefined;
}

/** Range and resolution of the role's quantity, in its internal unit. */
const measuredAs = (role: Role, settings: InstrumentSettings): Measured | undefined => {
  const { pressure, current, temperature, humidity, air_pressure: air } = settings;
  switch (role) {
    case "source":
    case "current-meter":
      return current && { lower: current.lower.mA, upper: current.upper.mA, resolution: current.resolution?.mA };
    case "gauge":
    case "supply-gauge":
      return pressure && { lower: pressure.lower.kPa, upper: pressure.upper.kPa, resolution: pressure.resolution?.kPa };
    case "ambient":
      return (
        temperature && {
          lower: temperature.lower.degC,
          upper: temperature.upper.degC,
          resolution: temperature.resolution?.K,
        }
      );
    case "humidity":
      return (
        humidity && {
          lower: humidity.lower.percentRH,
          upper: humidity.upper.percentRH,
          resolution: humidity.resolution?.percentRH,
        }
      );
    case "barometer":
      return air && { lower: air.lower.kPa, upper: air.upper.kPa, resolution: air.resolution?.kPa };
  }
};

/** Settings of an instrument for one role, in internal units. */
const setupFor = (name: string, role: Role, settings: InstrumentSettings): Result<InstrumentSetup, Fault> => {
  const profile = settings.profile === undefined ? null : readProfile(settings.profile);
  if (profile !== null && !profile.ok) return profile;
  const measured = measuredAs(role, settings);
  return ok({
    name,
    serial_number: settings.serial_number,
    profile: profile?.value,
    address: settings.address,
    range: measured && { lower: measured.lower, upper: measured.upper },
    mode: role === "gauge" || role === "supply-gauge" ? settings.pressure?.mode : undefined,
    resolution: measured?.resolution,
  });
};

export interface InstrumentOpener {
  /** Opens one instrument of the bench in a role, and its link when that is not open yet. `changed` replaces what the file says. */
  open<R extends Role>(
    role: R,
    name: string,
    changed?: Partial<InstrumentSetup>,
  ): Promise<Result<InstrumentOf[R], Fault>>;
  readonly links: ReadonlyMap<string, Link>;
  close(): Promise<void>;
}

/** Instruments of one bench file, each opened by itself; those on one link share it. */
export const instrumentOpener = (bench: BenchFile, world: StationWorld): InstrumentOpener => {
  const links = new Map<string, Link>();
  return {
    links,
    close: async () => {
      await Promise.all([...links.values()].map((link) => link.close()));
    },
    open: async (role, name, changed = {}) => {
      const settings = bench.instruments[name];
      if (settings === undefined) throw new Error(`no instrument ${name}`);
      const setup = setupFor(name, role, settings);
      if (!setup.ok) return setup;
      let link = settings.link === undefined ? undefined : links.get(settings.link);
      if (settings.link !== undefined && link === undefined) {
        const linkSettings = bench.links[settings.link];
        if (linkSettings === undefined) throw new Error(`no link ${settings.link}`);
        const made = openLink(settings.link, linkSettings, world);
        if (!made.ok) return made;
        link = made.value;
        links.set(settings.link, link);
        const opened = await link.open();
        if (!opened.ok) return opened;
      }
      const driverWorld: DriverWorld = { link, prompter: world.prompter, timers: wallTimers, stamp: world.stamp };
      return openInstrument(settings.driver, role, { ...setup.value, ...changed }, driverWorld);
    },
  };
};

/** Opens the links and instruments of a station. What was opened is closed again when one of them cannot be opened. */
export const openStation = async (
  bench: BenchFile,
  station: string,
  world: StationWorld,
): Promise<Result<OpenStation, Fault>> => {
  const slots = bench.stations[station];
  if (slots === undefined) throw new Error(`no station ${station}`);
  const { links, open, close } = instrumentOpener(bench, world);
  const refuse = async (f: Fault): Promise<Result<never, Fault>> => {
    await close();
    return err(f);
  };

  const optional = async <R extends Role>(
    role: R,
    name: string | undefined,
  ): Promise<Result<InstrumentOf[R] | null, Fault>> => (name === undefined ? ok(null) : open(role, name));

  const source = await open("source", slots.source);
  if (!source.ok) return refuse(source.fault);
  const gauge = await open("gauge", slots.gauge);
  if (!gauge.ok) return refuse(gauge.fault);
  const currentMeter = await optional("current-meter", slots.current_meter);
  if (!currentMeter.ok) return refuse(currentMeter.fault);
  const supplyGauge = await optional("supply-gauge", slots.supply_gauge);
  if (!supplyGauge.ok) return refuse(supplyGauge.fault);
  const ambient = await optional("ambient", slots.ambient);
  if (!ambient.ok) return refuse(ambient.fault);
  const humidity = await optional("humidity", slots.humidity);
  if (!humidity.ok) return refuse(humidity.fault);
  const barometer = await optional("barometer", slots.barometer);
  if (!barometer.ok) return refuse(barometer.fault);
  return ok({
    instruments: {
      source: source.value,
      gauge: gauge.value,
      currentMeter: currentMeter.value,
      supplyGauge: supplyGauge.value,
      ambient: ambient.value,
      humidity: humidity.value,
      barometer: barometer.value,
    },
    links: [...links.values()],
    close,
  });
};

/**
 * Keeps an armed source from falling back while the harness lives: it is asked for its current often enough, on the clock
 * on the wall. Stops when the returned function is called.
 */
export const keepSourceAwake = (source: StationInstruments["source"], every_ms: number): (() => void) => {
  let asking = false;
  const timer = setInterval(() => {
    if (asking) return;
    asking = true;
    void source.readBack().finally(() => {
      asking = false;
    });
  }, every_ms);
  timer.unref();
  return () => clearInterval(timer);
};

/** Time without a word after which an armed source goes to its safe current, s on the bench's clock. */
export const fallbackAfter = (factor: number): Second => seconds(Math.max(30, 4 * factor));
