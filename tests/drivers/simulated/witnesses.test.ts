import { execFile, spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import {
  type ServedBench,
  type ServedEndpoint,
  type ServedUnit,
  serveSimulatedBench,
} from "../../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench, type SimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";

/**
 * Programs of other authors read the simulated gauge and set the simulated source: mbpoll 1.4 (libmodbus) and pymodbus
 * 3.0.0 with pyserial, as Debian packs them. Where they are missing the tests are skipped by name, except in CI.
 */
const run = promisify(execFile);
const MBPOLL = "mbpoll";
const PYTHON = "/usr/bin/python3";
const SCRIPT = fileURLToPath(new URL("./pymodbus-witness.py", import.meta.url));
const inCi = process.env["CI"] === "true";
const hasMbpoll = spawnSync(MBPOLL, ["-V"]).error === undefined;
const hasPymodbus = spawnSync(PYTHON, ["-c", "import pymodbus.client, serial"]).status === 0;

/** The test, or a skip that names what is missing; in CI the test runs and fails for want of its program. */
const witness = (program: string, found: boolean) => (name: string, test: () => Promise<void>) => {
  if (found || inCi) it(name, test);
  else it.skip(`${name} (${program} is not installed)`, test);
};
const withMbpoll = witness(MBPOLL, hasMbpoll);
const withPymodbus = witness("python3-pymodbus", hasPymodbus);

describe("witnesses", () => {
  let served: ServedBench | null = null;
  let bench: SimulatedBench;

  beforeAll(async () => {
    bench = createSimulatedBench(settingsFromWishes());
    const units: readonly ServedUnit[] = [
      { address: 1, device: "gauge" },
      { address: 2, device: "source" },
      { address: 247, device: "service" },
    ];
    const opened = await serveSimulatedBench({
      bench,
      lines: [{ name: "line", units }],
      tcp: [{ name: "rack", units }],
      factor: 20,
      now: () => performance.now() / 1000,
    });
    if (!opened.ok) throw new Error(opened.fault.message);
    served = opened.value;
  });

  afterAll(async () => {
    await served?.close();
  });

  const endpoint = (name: string): ServedEndpoint => {
    const found = served?.endpoints.get(name);
    if (found === undefined) throw new Error(`no wire ${name}`);
    return found;
  };

  /** mbpoll, once, PDU addresses, big-endian floats; over the named wire. */
  const mbpoll = async (
    wire: string,
    unit: number,
    table: string,
    address: number,
    write?: number,
  ): Promise<string> => {
    const at = endpoint(wire);
    const link =
      at.kind === "serial"
        ? ["-m", "rtu", "-b", "9600", "-P", "even", at.path]
        : ["-m", "tcp", "-p", String(at.port), at.host];
    const what = ["-0", "-1", "-B", "-a", String(unit), "-t", table, "-r", String(address), "-o", "2"];
    const { stdout } = await run(MBPOLL, [...what, ...link, ...(write === undefined ? [] : ["--", String(write)])]);
    return stdout;
  };

  const shownBy = (stdout: string): number => Number(/^\[\d+\]:\s+(\S+)/mu.exec(stdout)?.[1] ?? Number.NaN);

  for (const wire of ["line", "rack"]) {
    withMbpoll(`mbpoll sets the source and reads the gauge over the ${wire}`, async () => {
      expect(await mbpoll(wire, 2, "4:float", 64, wire === "line" ? 12 : 16)).toMatch(/Written 1 reference/u);
      expect(shownBy(await mbpoll(wire, 2, "4:float", 64))).toBe(wire === "line" ? 12 : 16);
      bench.advanceTo(bench.time_s() + 60);
      const shown = shownBy(await mbpoll(wire, 1, "3:float", 0));
      expect(Math.abs(shown - (wire === "line" ? 60 : 80))).toBeLessThan(0.1);
    });

    withMbpoll(`mbpoll turns the zero screw and opens the loop over the ${wire}`, async () => {
      const before = bench.plant.screws().zero;
      await mbpoll(wire, 247, "4:float", 64, 0.5);
      expect(shownBy(await mbpoll(wire, 247, "3:float", 0)) - before).toBeCloseTo(0.5, 6);
      await mbpoll(wire, 247, "0", 0, 1);
      expect(bench.source.status().loop_open).toBe(true);
      await mbpoll(wire, 247, "0", 0, 0);
      await mbpoll(wire, 247, "4:float", 64, -0.5);
    });
  }

  const pymodbus = async (wire: string): Promise<Record<string, unknown>> => {
    const at = endpoint(wire);
    const where = at.kind === "serial" ? ["serial", at.path] : ["tcp", at.host, String(at.port)];
    const { stdout } = await run(PYTHON, [SCRIPT, ...where]);
    return JSON.parse(stdout) as Record<string, unknown>;
  };

  const expected = {
    maker: "SIMULATED instruments",
    serial_number: "SIM-GAUGE-1",
    written: true,
    commanded: 14.25,
    refused: 3,
    gap: 2,
    output_on: true,
  };

  withPymodbus("pymodbus reads the gauge and sets the source over TCP", async () => {
    bench.advanceTo(bench.time_s() + 60);
    const { pressure_kPa } = bench.truth();
    const seen = await pymodbus("rack");
    expect(seen).toMatchObject(expected);
    expect(Math.abs(Number(seen["pressure"]) - pressure_kPa)).toBeLessThan(0.05);
    expect(bench.source.commanded_mA()).toBeCloseTo(14.25, 9);
  });

  withPymodbus("pymodbus does the same over the line, where a write with a wrong CRC is not obeyed", async () => {
    bench.advanceTo(bench.time_s() + 60);
    const { pressure_kPa } = bench.truth();
    const seen = await pymodbus("line");
    expect(Math.abs(Number(seen["pressure"]) - pressure_kPa)).toBeLessThan(0.05);
    expect(seen).toMatchObject({ ...expected, wrong_crc_answer: 0, wrong_crc_commanded: 14.25 });
    expect(bench.source.commanded_mA()).toBeCloseTo(14.25, 9);
  });
});
