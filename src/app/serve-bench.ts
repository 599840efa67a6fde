import { performance } from "node:perf_hooks";
import type { DeviceName } from "../../drivers/simulated/bench-settings.ts";
import { type ServedBench, serveSimulatedBench, type Wire } from "../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench } from "../../drivers/simulated/simulated-bench.ts";
import type { BenchFile } from "../config/bench-file.schema.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { ENDPOINTS_FORMAT, type Endpoints } from "./endpoints.ts";
import { simulatedSettings } from "./simulated-settings.ts";

const SERVICE_WIRE = "service";
export const SERVICE_UNIT = 247;

export interface ServeRequest {
  readonly bench: BenchFile;
  readonly station: string;
  readonly unit: UnitFile;
  readonly factor: number;
  /** TCP port of the service registers and of TCP links; any free one when left out. */
  readonly tcp_port?: number | undefined;
}

export interface Serving {
  readonly endpoints: Endpoints;
  close(): Promise<void>;
}

/** Which simulated device stands behind an instrument of the bench file. */
const deviceOf = (bench: BenchFile, station: string, name: string): Result<DeviceName, Fault> => {
  const slots = bench.stations[station];
  if (slots?.source === name) return ok("source");
  if (slots?.gauge === name) return ok("gauge");
  const meters = [slots?.current_meter, slots?.supply_gauge, slots?.ambient, slots?.humidity, slots?.barometer];
  if (meters.includes(name)) return ok("meter");
  return err(
    fault(
      "refused",
      "bad-file",
      `${name} is on a simulated link but not in ${station}, so nothing can stand in for it.`,
      {
        remedy: `Take it out of the bench file, or give it a place in ${station}.`,
      },
    ),
  );
};

const wireOf = (bench: BenchFile, station: string, link: string): Result<Wire | null, Fault> => {
  const units: { address: number; device: DeviceName }[] = [];
  for (const [name, instrument] of Object.entries(bench.instruments)) {
    if (instrument.link !== link) continue;
    const device = deviceOf(bench, station, name);
    if (!device.ok) return device;
    if (instrument.address !== undefined) {
      units.push({ address: instrument.address, device: device.value });
    } else if (device.value === "source" || device.value === "gauge") {
      return ok({ name: link, text: device.value });
    }
  }
  return ok(units.length === 0 ? null : { name: link, units });
};

/** Serves the simulated bench of a bench file as instruments, for our own drivers and for any other client. */
export const serveBench = async (request: ServeRequest): Promise<Result<Serving, Fault>> => {
  const { bench, station, unit, factor } = request;
  const settings = simulatedSettings(bench, station, unit);
  if (!settings.ok) return settings;
  const lines: Wire[] = [];
  const tcp: (Wire & { readonly port?: number })[] = [
    {
      name: SERVICE_WIRE,
      units: [{ address: SERVICE_UNIT, device: "service" }],
      ...(request.tcp_port === undefined ? {} : { port: request.tcp_port }),
    },
  ];
  for (const [name, link] of Object.entries(bench.links)) {
    const wire = wireOf(bench, station, name);
    if (!wire.ok) return wire;
    if (wire.value === null) continue;
    if (link.kind === "serial") lines.push(wire.value);
    else
      tcp.push({ ...wire.value, ...(request.tcp_port === undefined ? {} : { port: request.tcp_port + tcp.length }) });
  }
  const served: Result<ServedBench, Fault> = await serveSimulatedBench({
    bench: createSimulatedBench(settings.value),
    lines,
    tcp,
    factor,
    now: () => performance.now() / 1000,
  });
  if (!served.ok) return served;
  const places = Object.fromEntries(served.value.endpoints);
  const { [SERVICE_WIRE]: service, ...links } = places;
  if (service === undefined) throw new Error("the service registers were not served");
  return ok({
    endpoints: { format: ENDPOINTS_FORMAT, simulated: true, factor, links, service },
    close: () => served.value.close(),
  });
};
