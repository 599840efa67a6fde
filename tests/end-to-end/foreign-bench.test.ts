import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect } from "vitest";
import type { InstrumentOf, Role } from "../../drivers/driver-entry.ts";
import { type LinkPlace, makeLinkTo } from "../../drivers/links/make-link-to.ts";
import { openPseudoTerminal, type PseudoTerminal } from "../../drivers/links/pseudo-terminal.ts";
import { wallTimers } from "../../drivers/links/wall-timers.ts";
import { readProfile } from "../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../drivers/registry.ts";
import type { Link } from "../../src/ports/link.ts";
import { mA, seconds } from "../../src/vocabulary/quantities.ts";
import { must } from "../app/practice-job.ts";
import { itWith } from "./witness.ts";

/**
 * Our drivers against instruments whose protocol is not ours: pymodbus 3.0.0 serves the register maps, with values that
 * Python packed, over TCP and over a serial line.
 */
const PYTHON = "/usr/bin/python3";
const SCRIPT = fileURLToPath(new URL("./pymodbus-bench.py", import.meta.url));
const hasPymodbus = spawnSync(PYTHON, ["-c", "import pymodbus.server, serial"]).status === 0;
const withPymodbus = itWith("python3-pymodbus", hasPymodbus);

const servers: ChildProcess[] = [];
const links: Link[] = [];
const terminals: PseudoTerminal[] = [];

afterAll(async () => {
  for (const link of links) await link.close();
  for (const server of servers) server.kill();
  for (const terminal of terminals) terminal.close();
});

/** Starts the Python side; gives its TCP port, 0 on a serial line. */
const serve = (where: readonly string[]): Promise<number> =>
  new Promise((resolve, reject) => {
    const server = spawn(PYTHON, [SCRIPT, ...where], { stdio: ["pipe", "pipe", "pipe"] });
    servers.push(server);
    let trouble = "";
    server.stderr.on("data", (chunk: Buffer) => {
      trouble += chunk.toString("utf8");
    });
    let said = "";
    server.stdout.on("data", (chunk: Buffer) => {
      said += chunk.toString("utf8");
      const ready = /ready (\d+)\n/u.exec(said);
      if (ready !== null) resolve(Number(ready[1]));
    });
    server.once("exit", (code) => reject(new Error(`pymodbus ended with ${code}: ${trouble}`)));
  });

/** Two serial ports, joined back to back as by a null-modem cable. */
const cable = (): readonly [string, string] => {
  const one = must(openPseudoTerminal());
  const other = must(openPseudoTerminal());
  terminals.push(one, other);
  one.onBytes(other.write);
  other.onBytes(one.write);
  return [one.path, other.path];
};

const places: Readonly<Record<"TCP" | "a serial line", () => Promise<LinkPlace>>> = {
  TCP: async () => ({ kind: "tcp", host: "127.0.0.1", port: await serve(["tcp"]) }),
  "a serial line": async () => {
    const [ours, theirs] = cable();
    await serve(["serial", theirs]);
    return { kind: "serial", port: ours, baud: 9600, parity: "none", data_bits: 8, stop_bits: 1 };
  },
};

describe.each(["TCP", "a serial line"] as const)("pymodbus over %s", (wire) => {
  let link: Link;

  beforeAll(async () => {
    if (!hasPymodbus) return;
    const timing = { answer_deadline_s: 1, quiet_after_trouble_s: 0.2 };
    link = makeLinkTo("foreign", await places[wire](), timing, { stamp: () => seconds(performance.now() / 1000) });
    links.push(link);
    must(await link.open());
  });

  const open = <R extends Role>(
    role: R,
    profile: string,
    address: number,
    serial_number: string,
    range: { readonly lower: number; readonly upper: number },
  ): InstrumentOf[R] =>
    must(
      openInstrument(
        "register",
        role,
        { name: serial_number, serial_number, profile: must(readProfile(profile)), address, range, mode: "gauge" },
        { link, timers: wallTimers, stamp: () => seconds(performance.now() / 1000) },
      ),
    );

  const source = () => open("source", "loop-source-registers", 1, "PY-SOURCE-1", { lower: 0, upper: 24 });
  const gauge = () => open("gauge", "reference-gauge-registers", 2, "PY-GAUGE-1", { lower: 0, upper: 700 });

  withPymodbus("the gauge says who it is and what it measures", async () => {
    const made = gauge();
    expect(must(await made.identify())).toEqual({
      maker: "Riverside",
      model: "PG-700",
      serial_number: "PY-GAUGE-1",
      simulated: false,
    });
    const reading = must(await made.read());
    // A single keeps 24 bits: half a step at 61 is 2e-6.
    expect(reading.value.kPa).toBeCloseTo(61.2345, 5);
    expect(reading.value.mode).toBe("gauge");
    expect(must(await made.read()).at_s).toBeGreaterThan(reading.at_s);
  });

  withPymodbus("the source takes a current, and says it back", async () => {
    const made = source();
    expect(must(await made.identify()).model).toBe("PS-24");
    for (const current of [12, 20, 4.0005]) {
      expect(must(await made.set(mA(current))).confirmed).toBeCloseTo(current, 5);
      expect(must(await made.readBack()).value.mA).toBeCloseTo(current, 5);
    }
  });

  withPymodbus("the source takes its fallback", async () => {
    expect(must(await source().armFallback(seconds(30), mA(4)))).toEqual({
      kind: "armed",
      after_s: 30,
      current_mA: 4,
    });
  });

  withPymodbus("one meter gives current, pressure and temperature", async () => {
    const channel = <R extends Role>(role: R, upper: number) =>
      open(role, "bench-meter-registers", 3, "PY-METER-1", { lower: 0, upper });
    expect(must(await channel("current-meter", 24).read()).value.mA).toBeCloseTo(11.9987, 5);
    expect(must(await channel("supply-gauge", 1000).read()).value.kPa).toBeCloseTo(140.25, 4);
    expect(must(await channel("ambient", 50).read()).value.degC).toBeCloseTo(20.75, 5);
  });

  withPymodbus("an instrument with another serial number than the bench file says is not read", async () => {
    const other = open("gauge", "reference-gauge-registers", 2, "PY-GAUGE-2", { lower: 0, upper: 700 });
    for (const told of [await other.identify(), await other.read()]) {
      expect(told.ok ? "" : told.fault.message).toMatch(/PY-GAUGE-1 .*the bench file says PY-GAUGE-2/u);
    }
  });
});
