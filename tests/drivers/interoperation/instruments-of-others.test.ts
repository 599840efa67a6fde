import { type ChildProcess, execFile, spawn, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { afterAll, describe, expect, it } from "vitest";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import { makeLinkTo } from "../../../drivers/links/make-link-to.ts";
import { openPseudoTerminal, type PseudoTerminal } from "../../../drivers/links/pseudo-terminal.ts";
import { wallTimers } from "../../../drivers/links/wall-timers.ts";
import { type Profile, parseProfile, readProfile } from "../../../drivers/profiles/read-profile.ts";
import { openInstrument } from "../../../drivers/registry.ts";
import { settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import { serveSimulatedBench } from "../../../drivers/simulated/serve-simulated-bench.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import type { Link } from "../../../src/ports/link.ts";
import { mA, seconds } from "../../../src/vocabulary/quantities.ts";
import { must } from "../../app/practice-job.ts";

/**
 * Instruments that other people's programs serve, read and driven by profiles that were written from nothing but a table
 * of registers, as it stands in a manual: pymodbus 3.0 (TCP and a serial line) and libmodbus 3.1 in C. And mbpoll as a
 * second master on the bench that we serve. Where a program is missing the test is skipped by name, except in CI.
 */
const run = promisify(execFile);
const PYTHON = "/usr/bin/python3";
const MBPOLL = "mbpoll";
const SOCAT = "socat";
const inCi = process.env["CI"] === "true";
const hasPymodbus = spawnSync(PYTHON, ["-c", "import pymodbus.server, serial"]).status === 0;
const hasMbpoll = spawnSync(MBPOLL, ["-V"]).error === undefined;
const folder = mkdtempSync(join(tmpdir(), "stillpoint-others-"));
const beside = (file: string): string => fileURLToPath(new URL(file, import.meta.url));

const buildLibmodbus = (): string | null => {
  const program = join(folder, "libmodbus-instrument");
  const args = ["-O2", "-o", program, beside("./libmodbus-instrument.c"), "-l:libmodbus.so.5"];
  const built = spawnSync("gcc", args);
  return built.status === 0 ? program : null;
};
const libmodbus = buildLibmodbus();

const witness = (program: string, found: boolean) => (name: string, test: () => Promise<void>) => {
  if (found || inCi) it(name, test, 30_000);
  else it.skip(`${name} (${program} is not installed)`, test);
};

const children: ChildProcess[] = [];
const links: Link[] = [];
const terminals: PseudoTerminal[] = [];
afterAll(async () => {
  await Promise.all(links.map((link) => link.close()));
  for (const child of children) child.kill("SIGKILL");
  for (const terminal of terminals) terminal.close();
  rmSync(folder, { recursive: true, force: true });
});

const freePort = (): Promise<number> =>
  new Promise((resolve) => {
    const server = createServer();
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      server.close(() => resolve(address === null || typeof address === "string" ? 0 : address.port));
    });
  });

const begin = async (program: string, args: readonly string[]): Promise<void> => {
  const child = spawn(program, args, { stdio: ["ignore", "pipe", "inherit"] });
  children.push(child);
  await new Promise<void>((resolve, reject) => {
    child.stdout?.once("data", () => resolve());
    child.once("exit", (code) => reject(new Error(`${program} ended with ${code}`)));
  });
  // It says that it is ready right before it listens.
  await new Promise((resolve) => setTimeout(resolve, 400));
};

const stamp = () => seconds(performance.now() / 1000);
const TIMING = { answer_deadline_s: 1, quiet_after_trouble_s: 0.2 };
const tcp = (port: number): Link => {
  const link = makeLinkTo("line", { kind: "tcp", host: "127.0.0.1", port }, TIMING, { stamp });
  links.push(link);
  return link;
};

/**
 * The table of a manual, for a gauge that we do not have: low word first, a scaled whole number, status bits, unit as a
 * code. "30002" of the manual is address 1 here.
 */
const GAUGE = `
format: stillpoint-register-profile 1
title: A gauge written from its table alone
role: pressure-gauge
identity:
  maker: { table: holding, address: 0, type: text, registers: 8 }
  model: { table: holding, address: 8, type: text, registers: 8 }
  serial_number: { table: holding, address: 16, type: text, registers: 8 }
settings:
  unit: { table: holding, address: 24, type: uint16, meanings: { 0: bar, 1: kPa, 2: psi }, wanted: kPa }
readings:
  status: { table: input, address: 0, type: uint16, bits: { 0: sensor fault, 3: over range } }
  pressure: { table: input, address: 1, type: float32, order: CDAB, unit: kPa }
  temperature: { table: input, address: 3, type: int16, scale: 0.1, unit: degC }
`;

/** A source whose set point is a whole number of microamperes. */
const SOURCE = `
format: stillpoint-register-profile 1
title: A source written from its table alone
role: current-source
identity:
  maker: { table: holding, address: 0, type: text, registers: 8 }
  model: { table: holding, address: 8, type: text, registers: 8 }
  serial_number: { table: holding, address: 16, type: text, registers: 8 }
commands:
  current: { table: holding, address: 40, type: uint16, scale: 0.001, unit: mA }
readings:
  commanded: { table: holding, address: 40, type: uint16, scale: 0.001, unit: mA }
`;

const profileOf = (name: string, text: string): Profile => {
  const path = join(folder, name);
  writeFileSync(path, text);
  return must(readProfile(path));
};

const gaugeOn = (link: Link, profile: Profile) =>
  must(
    openInstrument(
      "register",
      "gauge",
      { name: "gauge", serial_number: "HF-3-0042", profile, address: 5, range: { lower: 0, upper: 200 } },
      { link, timers: wallTimers, stamp },
    ),
  );

const expectGauge = async (link: Link): Promise<void> => {
  const gauge = gaugeOn(link, profileOf("gauge.yaml", GAUGE));
  expect(must(await gauge.identify())).toEqual({
    maker: "Harbour Forge",
    model: "HF-3",
    serial_number: "HF-3-0042",
    simulated: false,
  });
  for (let read = 0; read < 5; read += 1) expect(must(await gauge.read()).value.kPa).toBe(60.25);
};

describe("a profile written only from a table of registers", () => {
  it("reads an instrument that we do not have: words in odd order, scaled whole numbers, status bits", async () => {
    const opened = must(openPseudoTerminal());
    terminals.push(opened);
    // -12.5 kPa is C148 0000 in IEEE 754; the manual wants its low word first. 215 tenths of a degree.
    const input = [0, 0x0000, 0xc148, 215];
    const text = (words: string): number[] =>
      Array.from({ length: 8 }, (_, i) => (words.charCodeAt(2 * i) || 0) * 256 + (words.charCodeAt(2 * i + 1) || 0));
    const holding = [...text("Harbour Forge"), ...text("HF-3"), ...text("HF-3-0042"), 1];
    const part = (table: readonly number[]) => (address: number, count: number) =>
      address + count > table.length ? null : Uint16Array.from(table.slice(address, address + count));
    const bank: RegisterBank = {
      readHolding: (address, count) => part(holding)(address, count),
      readInput: (address, count) => part(input)(address, count),
      readCoils: () => null,
      writeHolding: () => false,
      writeCoils: () => false,
    };
    const slave = rtuSlaveStream((unit) => (unit === 5 ? bank : null));
    opened.onBytes((bytes) => {
      for (const answer of slave.receive(bytes)) opened.write(answer);
    });
    const place = {
      kind: "serial",
      port: opened.path,
      baud: 19_200,
      parity: "none",
      data_bits: 8,
      stop_bits: 1,
    } as const;
    const link = makeLinkTo("line", place, TIMING, { stamp });
    links.push(link);
    const profile = must(parseProfile(GAUGE, "gauge.yaml"));
    const world = { link, timers: wallTimers, stamp };
    const setup = {
      name: "gauge",
      serial_number: "HF-3-0042",
      profile,
      address: 5,
      range: { lower: -100, upper: 200 },
    };
    const gauge = must(openInstrument("register", "gauge", setup, world));
    expect(must(await gauge.read()).value.kPa).toBe(-12.5);
    input[0] = 8;
    const alarmed = await gauge.read();
    expect(alarmed.ok ? "" : alarmed.fault.message).toBe("gauge reports: over range.");
    input[0] = 0;
    holding[24] = 2;
    const inPsi = await gauge.identify();
    expect(inPsi.ok ? "" : inPsi.fault.message).toMatch(/unit is psi, wanted is kPa/u);
  });
});

describe("instruments that programs of others serve", () => {
  witness("python3-pymodbus", hasPymodbus)("pymodbus over TCP, by a profile alone", async () => {
    const port = await freePort();
    await begin(PYTHON, [beside("./pymodbus-instrument.py"), "tcp", String(port)]);
    await expectGauge(tcp(port));
  });

  witness("python3-pymodbus and socat", hasPymodbus && spawnSync(SOCAT, ["-V"]).error === undefined)(
    "pymodbus over a serial line, by the same profile",
    async () => {
      const [ours, theirs] = [join(folder, "ours"), join(folder, "theirs")];
      const pair = spawn(SOCAT, [`pty,raw,echo=0,link=${ours}`, `pty,raw,echo=0,link=${theirs}`], {
        stdio: "ignore",
      });
      children.push(pair);
      await new Promise((resolve) => setTimeout(resolve, 400));
      await begin(PYTHON, [beside("./pymodbus-instrument.py"), "serial", theirs]);
      const place = { kind: "serial", port: ours, baud: 19_200, parity: "none", data_bits: 8, stop_bits: 1 } as const;
      const link = makeLinkTo("line", place, TIMING, { stamp });
      links.push(link);
      await expectGauge(link);
    },
  );

  witness("gcc or libmodbus", libmodbus !== null)("libmodbus in C, a source by a profile alone", async () => {
    const port = await freePort();
    await begin(libmodbus ?? "libmodbus-instrument", [String(port)]);
    const profile = profileOf("source.yaml", SOURCE);
    const setup = { name: "source", serial_number: "HF-9-0007", profile, address: 1, range: { lower: 0, upper: 24 } };
    const source = must(openInstrument("register", "source", setup, { link: tcp(port), timers: wallTimers, stamp }));
    expect(must(await source.identify())).toMatchObject({ maker: "Harbour Forge", serial_number: "HF-9-0007" });
    for (const current of [4, 12.345, 20]) {
      expect(must(await source.set(mA(current))).confirmed).toBeCloseTo(current, 9);
      expect(must(await source.readBack()).value.mA).toBeCloseTo(current, 9);
    }
  });
});

describe("a second master on the bench that we serve", () => {
  witness(MBPOLL, hasMbpoll)(
    "mbpoll reads the gauge while our driver does, and neither gets the other's answer",
    async () => {
      const bench = createSimulatedBench(settingsFromWishes());
      const units = [
        { address: 1, device: "source" as const },
        { address: 2, device: "gauge" as const },
      ];
      const served = must(
        await serveSimulatedBench({ bench, tcp: [{ name: "rack", units }], now: () => performance.now() / 1000 }),
      );
      const at = served.endpoints.get("rack");
      if (at?.kind !== "tcp") throw new Error("no TCP end");
      const profile = must(readProfile("reference-gauge-registers"));
      const setup = {
        name: "gauge",
        serial_number: "SIM-GAUGE-1",
        profile,
        address: 2,
        range: { lower: 0, upper: 200 },
      };
      const gauge = must(openInstrument("register", "gauge", setup, { link: tcp(at.port), timers: wallTimers, stamp }));
      let going = true;
      let reads = 0;
      const ours = (async () => {
        while (going) {
          expect(Math.abs(must(await gauge.read()).value.kPa - 20)).toBeLessThan(0.1);
          reads += 1;
        }
      })();
      const args = ["-0", "-1", "-B", "-m", "tcp", "-p", String(at.port)];
      for (let poll = 0; poll < 5; poll += 1) {
        const gaugeSays = await run(MBPOLL, [...args, "-a", "2", "-t", "3:float", "-r", "0", at.host]);
        expect(Math.abs(Number(/^\[0\]:\s+(\S+)/mu.exec(gaugeSays.stdout)?.[1]) - 20)).toBeLessThan(0.1);
        const sourceSays = await run(MBPOLL, [...args, "-a", "1", "-t", "4:float", "-r", "64", at.host]);
        expect(Number(/^\[64\]:\s+(\S+)/mu.exec(sourceSays.stdout)?.[1])).toBe(4);
      }
      going = false;
      await ours;
      expect(reads).toBeGreaterThan(2);
      await served.close();
    },
  );
});
