import { describe, expect, it } from "vitest";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { mbapSlaveStream, rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import { makeLink } from "../../../drivers/links/make-link.ts";
import { inProcessWire } from "../in-process-wire.ts";
import { virtualTimers } from "../virtual-timers.ts";
import { faultProxy, seededRandom, WIRE_FAULTS } from "../wire-faults.ts";

/** Every register of every unit and table holds a value of its own, so an answer to another question is seen at once. */
const truth = (unit: number, table: number, address: number): number =>
  (Math.imul(address * 4 + table * 2 + unit, 40503) + 12345) & 0xffff;

const shuffledBank = (unit: number): RegisterBank => {
  const from = (table: number) => (address: number, count: number) =>
    Uint16Array.from({ length: count }, (_, index) => truth(unit, table, address + index));
  return {
    readHolding: from(0),
    readInput: from(1),
    readCoils: () => null,
    writeHolding: () => false,
    writeCoils: () => false,
  };
};

const FAULTS = 10_000;
const deadline_s = 0.1;

const hammer = async (framing: "rtu" | "mbap", faults: number, quiet_s: number) => {
  const timers = virtualTimers();
  const random = seededRandom(20260301);
  const wire = inProcessWire();
  const banks = [shuffledBank(0), shuffledBank(1)];
  const bankAt = (unit: number): RegisterBank | null => banks[unit - 1] ?? null;
  let slave = rtuSlaveStream(bankAt);
  const proxy = faultProxy(
    wire,
    (request) => {
      // Each request is one burst with silence before it.
      slave = framing === "rtu" ? rtuSlaveStream(bankAt) : mbapSlaveStream(bankAt);
      return slave.receive(request);
    },
    {
      timers,
      random,
      next: () => (random() < 0.75 ? (WIRE_FAULTS[Math.floor(random() * WIRE_FAULTS.length)] ?? null) : null),
      answer_deadline_s: deadline_s,
      latest_s: 0.19,
      duplicate_within_s: 0.0015,
      carries_over: framing === "rtu",
      framing,
    },
  );
  wire.device = proxy.device;
  const link = makeLink(
    {
      name: "line-1",
      timers,
      stamp: timers.stamp,
      answer_deadline_s: deadline_s,
      quiet_after_trouble_s: quiet_s,
      gap_s: framing === "rtu" ? 0.00175 : 0,
      character_s: 0,
      after_trouble: framing === "rtu" ? "stay-quiet" : "open-anew",
    },
    wire.transport,
    framing,
  );
  const stations = [link.registers({ instrument: "a", unit: 1 }), link.registers({ instrument: "b", unit: 2 })];
  let right = 0;
  let wrong = 0;
  const failed: Record<string, number> = {};
  while (proxy.total() < faults) {
    // Both instruments ask at once, so that the queue has work while the wire misbehaves.
    const asked = stations.map((station, unit) => {
      const address = Math.floor(random() * 4000);
      const table = random() < 0.5 ? 0 : 1;
      const count = 1 + Math.floor(random() * 3);
      return station
        .readRegisters(table === 0 ? "holding" : "input", address, count)
        .then((answer) => ({ answer, unit, table, address, count }));
    });
    for (const { answer, unit, table, address, count } of await timers.settle(Promise.all(asked))) {
      if (!answer.ok) {
        failed[answer.fault.code] = (failed[answer.fault.code] ?? 0) + 1;
        continue;
      }
      const expected = Array.from({ length: count }, (_, index) => truth(unit, table, address + index));
      if (expected.every((value, index) => value === answer.value.registers[index])) right += 1;
      else wrong += 1;
    }
  }
  await timers.settle(link.close());
  return { right, wrong, failed, injected: proxy.injected, counts: link.counts() };
};

describe("a wire that misbehaves in every way", () => {
  for (const framing of ["rtu", "mbap"] as const) {
    it(`gives no wrong value over ${framing} in ${FAULTS} injected faults`, async () => {
      const { right, wrong, failed, injected, counts } = await hammer(framing, FAULTS, 0.2);
      for (const name of WIRE_FAULTS) expect(injected[name], name).toBeGreaterThan(FAULTS / 40);
      expect(wrong).toBe(0);
      // The line keeps working: quiet answers, delays, splits and recoverable noise still give values.
      expect(right).toBeGreaterThan(3000);
      for (const code of ["silence", "line-error", "foreign-answer", "line-lost"]) {
        expect(failed[code], code).toBeGreaterThan(0);
      }
      expect(counts.opens).toBeGreaterThan(100);
    });
  }

  it("would give wrong values if the line were not kept quiet after trouble", async () => {
    const { wrong } = await hammer("rtu", FAULTS / 2, 0);
    expect(wrong).toBeGreaterThan(0);
  });
});
