import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { answerPdu, type RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { type DeviceName, settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import { deviceLines } from "../../../drivers/simulated/device-lines.ts";
import { deviceRegisters } from "../../../drivers/simulated/device-registers.ts";
import { floatRegisters } from "../../../drivers/simulated/register-fields.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";

const setUp = () => {
  const bench = createSimulatedBench(settingsFromWishes());
  bench.advanceTo(1);
  return bench;
};

const holding = (bank: RegisterBank, address: number, count: number): Uint16Array => {
  const found = bank.readHolding(address, count);
  if (!(found instanceof Uint16Array)) throw new Error(`holding ${address} is not there`);
  return found;
};

const floatAt = (registers: Uint16Array, at = 0): number => {
  const view = new DataView(new ArrayBuffer(4));
  view.setUint16(0, registers[at] ?? 0);
  view.setUint16(2, registers[at + 1] ?? 0);
  return view.getFloat32(0);
};

const input = (bank: RegisterBank, address: number): number => {
  const found = bank.readInput(address, 2);
  if (!(found instanceof Uint16Array)) throw new Error(`input ${address} is not there`);
  return floatAt(found);
};

const textAt = (bank: RegisterBank, address: number): string =>
  [...holding(bank, address, 16)]
    .flatMap((word) => [word >> 8, word & 0xff])
    .filter((code) => code > 0)
    .map((code) => String.fromCharCode(code))
    .join("");

const put = (bank: RegisterBank, address: number, value: number) =>
  bank.writeHolding(address, Uint16Array.from(floatRegisters(value)));

interface ProfileField {
  readonly table: "holding" | "input" | "coil";
  readonly address: number;
  readonly type: "text" | "float32" | "uint16" | "bool";
  readonly registers?: number;
}

describe("register maps", () => {
  const profiles: readonly [string, DeviceName][] = [
    ["reference-gauge-registers", "gauge"],
    ["loop-source-registers", "source"],
    ["bench-meter-registers", "meter"],
    ["simulated-service-registers", "service"],
  ];
  it.each(profiles)("%s: every field of the profile is there, and every command can be written", (name, device) => {
    const profile = parse(readFileSync(new URL(`../../../drivers/profiles/${name}.yaml`, import.meta.url), "utf8"));
    const bank = deviceRegisters(setUp(), device, 1);
    const sections = ["identity", "settings", "commands", "readings"].map((s) => Object.values(profile[s] ?? {}));
    const fields = sections.flat() as ProfileField[];
    expect(fields.length).toBeGreaterThan(5);
    for (const { table, address, type, registers } of fields) {
      const length = type === "text" ? (registers ?? 1) : type === "float32" ? 2 : 1;
      const found =
        table === "holding"
          ? bank.readHolding(address, length)
          : table === "input"
            ? bank.readInput(address, length)
            : bank.readCoils(address, 1);
      expect(found, `${name} ${table} ${address}`).toHaveLength(length);
    }
    for (const { table, address, type } of Object.values(profile.commands ?? {}) as ProfileField[]) {
      const taken =
        table === "coil"
          ? bank.writeCoils(address, [false])
          : type === "float32"
            ? put(bank, address, 1)
            : bank.writeHolding(address, Uint16Array.of(1));
      expect(taken, `${name} ${table} ${address}`).toBe(true);
    }
  });

  it.each(profiles)("%s: the identity says SIMULATED and the serial number of the settings", (_, device) => {
    const bank = deviceRegisters(setUp(), device, 1);
    expect(textAt(bank, 0)).toMatch(/^SIMULATED/u);
    expect(textAt(bank, 16)).toMatch(/^SIMULATED/u);
    expect(textAt(bank, 32)).toBe(`SIM-${device.toUpperCase()}-1`);
    expect(bank.identification?.maker).toMatch(/^SIMULATED/u);
  });

  it("refuses gaps, half a float, values out of range, and leaves everything as it was", () => {
    const bench = setUp();
    const bank = deviceRegisters(bench, "source", 1);
    expect(bank.readHolding(48, 1)).toBeNull();
    expect(bank.readHolding(60, 8)).toBeNull();
    expect(bank.writeHolding(64, Uint16Array.of(0x4140))).toBe(false);
    expect(bank.writeHolding(0, Uint16Array.of(1))).toBe(false);
    expect(put(bank, 64, 25)).toBe(3);
    expect(put(bank, 64, Number.NaN)).toBe(3);
    // Current, fallback time and a fallback current out of range in one write: nothing is taken.
    const three = [12, 5, 99].flatMap((v) => [...floatRegisters(v)]);
    expect(bank.writeHolding(64, Uint16Array.from(three))).toBe(3);
    expect(bench.source.commanded_mA()).toBe(4);
    expect(bench.source.fallback().after_s).toBe(0);
    // Exception 2 on the wire for the gap.
    expect([...answerPdu(bank, Uint8Array.of(3, 0, 48, 0, 1))]).toEqual([0x83, 2]);
  });

  it("drives the converter, shows the pressure, counts measurements", () => {
    const bench = setUp();
    const source = deviceRegisters(bench, "source", 1);
    const gauge = deviceRegisters(bench, "gauge", 1);
    expect(put(source, 64, 12)).toBe(true);
    expect(floatAt(holding(source, 64, 2))).toBe(12);
    const before = bench.gauge.count();
    bench.advanceTo(31);
    expect(input(source, 0)).toBeCloseTo(12, 3);
    expect(input(gauge, 0)).toBeCloseTo(60, 1);
    expect(bench.gauge.count() - before).toBe(300);
    expect(input(deviceRegisters(bench, "meter", 1), 0)).toBeCloseTo(12, 2);
    expect(input(deviceRegisters(bench, "meter", 1), 2)).toBeCloseTo(140, 0);
  });

  it("lets the service registers turn screws and plant trouble", () => {
    const bench = setUp();
    const service = deviceRegisters(bench, "service", 25);
    const gauge = deviceRegisters(bench, "gauge", 25);
    expect(put(service, 64, 0.25)).toBe(true);
    expect(put(service, 64, 0.25)).toBe(true);
    expect(put(service, 66, -9)).toBe(true);
    expect([input(service, 0), input(service, 2), input(service, 6)]).toEqual([0.5, -4, 25]);
    expect(service.readInput(14, 1)).toEqual(Uint16Array.of(0b10));
    bench.advanceTo(20);
    expect(input(service, 4)).toBeCloseTo(20, 3);
    put(service, 66, 4);
    bench.advanceTo(40);
    expect(input(service, 8)).toBeCloseTo(20 + 0.8 * 1.2, 3);
    service.writeHolding(72, Uint16Array.of(3));
    // 1 psi = 6.894757 kPa (NIST SP 811, B.8).
    expect(input(gauge, 0)).toBeCloseTo(20.96 / 6.894757, 2);
    expect(holding(gauge, 48, 1)[0]).toBe(3);
    service.writeHolding(72, Uint16Array.of(1));
    put(service, 74, 0.5);
    expect(input(gauge, 0)).toBeCloseTo(20.46, 1);
    service.writeHolding(73, Uint16Array.of(1));
    expect(input(gauge, 0)).toBeCloseTo(20.46 + 101.3, 1);
    expect(service.writeHolding(73, Uint16Array.of(7))).toBe(3);
    service.writeCoils(4, [true]);
    expect(input(gauge, 0)).toBeNaN();
    expect(gauge.readInput(2, 1)).toEqual(Uint16Array.of(0b100));
    service.writeCoils(0, [true]);
    expect(input(deviceRegisters(bench, "source", 1), 0)).toBe(0);
    expect(deviceRegisters(bench, "source", 1).readInput(2, 1)).toEqual(Uint16Array.of(1));
  });
});

describe("instruments that speak lines", () => {
  it("answer as their profiles describe", () => {
    const bench = setUp();
    for (const [name, device] of [
      ["reference-gauge-lines", "gauge"],
      ["loop-source-lines", "source"],
    ] as const) {
      const profile = parse(readFileSync(new URL(`../../../drivers/profiles/${name}.yaml`, import.meta.url), "utf8"));
      const lines = deviceLines(bench, device);
      const asked = [
        profile.identity,
        ...Object.values(profile.settings ?? {}),
        ...Object.values(profile.readings),
      ] as {
        readonly ask: string;
        readonly answer: string;
      }[];
      for (const { ask, answer } of asked) expect(lines.receive(ask), ask).toMatch(new RegExp(answer, "u"));
      expect(lines.receive("*IDN?")).toMatch(/^SIMULATED/u);
      expect(lines.receive(profile.errors.ask)).toMatch(new RegExp(profile.errors.none, "u"));
    }
  });

  it("take a current, refuse a wrong one with the error numbers of SCPI, in short and long form", () => {
    const bench = setUp();
    const lines = deviceLines(bench, "source");
    expect(lines.receive("SOUR:CURR 12.3456")).toBeNull();
    expect(lines.receive("source:current?")).toBe("12.346");
    for (const wrong of ["SOUR:CURR 99", "SOUR:CURR twelve", "SOUR:CURR", "SOURCERY 1"]) {
      expect(lines.receive(wrong)).toBeNull();
    }
    const errors = Array.from({ length: 5 }, () => lines.receive("SYST:ERR?")?.split(",")[0]);
    expect(errors).toEqual(["-222", "-104", "-109", "-113", "0"]);
    bench.gaugeState.sensor_fault = true;
    expect(deviceLines(bench, "gauge").receive("MEAS:PRES?")).toBe("9.91E+37");
  });
});
