import { describe, expect, it } from "vitest";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import type { LaneSettings } from "../../../drivers/links/lane.ts";
import { makeLink } from "../../../drivers/links/make-link.ts";
import { fairTurns } from "../../../drivers/links/turns.ts";
import { ok } from "../../../src/vocabulary/result.ts";
import { inProcessWire } from "../in-process-wire.ts";
import { virtualTimers } from "../virtual-timers.ts";

const DEADLINE_S = 0.1;
const QUIET_S = 0.3;
const GAP_S = 0.004;

const bank: RegisterBank = {
  readHolding: (address, count) =>
    address >= 1000 ? null : Uint16Array.from({ length: count }, (_, index) => address + index),
  readInput: () => null,
  readCoils: () => null,
  writeHolding: () => true,
  writeCoils: () => true,
};

const bench = (more: Partial<LaneSettings> = {}) => {
  const timers = virtualTimers();
  const wire = inProcessWire();
  const sent_s: number[] = [];
  const units: number[] = [];
  let silent: readonly number[] = [];
  wire.device = (request) => {
    sent_s.push(timers.now_s());
    units.push(request[0] ?? 0);
    if (silent.includes(request[0] ?? 0)) return;
    for (const answer of rtuSlaveStream(() => bank).receive(request)) timers.after(0.01, () => wire.say(answer));
  };
  const link = makeLink(
    {
      name: "line-1",
      timers,
      stamp: timers.stamp,
      answer_deadline_s: DEADLINE_S,
      quiet_after_trouble_s: QUIET_S,
      gap_s: GAP_S,
      character_s: 0,
      after_trouble: "stay-quiet",
      ...more,
    },
    wire.transport,
    "rtu",
  );
  const station = (unit: number) => link.registers({ instrument: `unit-${unit}`, unit });
  return {
    timers,
    wire,
    link,
    station,
    sent_s,
    units,
    silence: (...which: number[]) => {
      silent = which;
    },
  };
};

const code = (result: { readonly ok: boolean; readonly fault?: { readonly code: string } }): string =>
  result.ok ? "value" : (result.fault?.code ?? "");

describe("the lane", () => {
  it("keeps the silence between an answer and the next request", async () => {
    const { timers, station, sent_s } = bench();
    const one = station(1);
    for (let read = 0; read < 3; read += 1) await timers.settle(one.readRegisters("holding", 1, 1));
    expect(sent_s.slice(1).map((at_s, index) => at_s - (sent_s[index] ?? 0))).toEqual([
      expect.closeTo(0.01 + GAP_S, 9),
      expect.closeTo(0.01 + GAP_S, 9),
    ]);
  });

  it("counts the silence from the answer's last byte, also where bytes come faster than the speed that was set", async () => {
    // Eight characters of a request take 160 ms at this speed; the answer is there after 10 ms.
    const { timers, station, sent_s } = bench({ character_s: 0.02 });
    const one = station(1);
    for (let read = 0; read < 3; read += 1) await timers.settle(one.readRegisters("holding", 1, 1));
    expect(sent_s.slice(1).map((at_s, index) => at_s - (sent_s[index] ?? 0))).toEqual([
      expect.closeTo(0.01 + GAP_S, 9),
      expect.closeTo(0.01 + GAP_S, 9),
    ]);
  });

  it("keeps quiet after silence, counted anew from every byte that still comes", async () => {
    const { timers, wire, station, sent_s, silence } = bench();
    const one = station(1);
    silence(1);
    expect(code(await timers.settle(one.readRegisters("holding", 1, 1)))).toBe("silence");
    silence();
    const next = one.readRegisters("holding", 1, 1);
    await timers.pass(0.2);
    wire.say(Uint8Array.of(1, 3, 2));
    expect(code(await timers.settle(next))).toBe("value");
    expect(sent_s[1]).toBeCloseTo((sent_s[0] ?? 0) + DEADLINE_S + 0.2 + QUIET_S, 6);
  });

  it("does not keep quiet after a refusal, which is an answer", async () => {
    const { timers, station, sent_s, link } = bench();
    const one = station(1);
    expect(code(await timers.settle(one.readRegisters("holding", 2000, 1)))).toBe("device-refused");
    await timers.settle(one.readRegisters("holding", 1, 1));
    expect((sent_s[1] ?? 0) - (sent_s[0] ?? 0)).toBeCloseTo(0.01 + GAP_S, 9);
    expect(link.counts()).toMatchObject({ refusals: 1, quarantines: 0, answers: 2 });
  });

  it("adds the time on the wire to the deadline", async () => {
    const { timers, station, silence } = bench({ character_s: 0.001 });
    silence(1);
    const from_s = timers.now_s();
    expect(code(await timers.settle(station(1).readRegisters("holding", 1, 10)))).toBe("silence");
    // The gap after opening, 8 characters of the request, 25 of the answer.
    expect(timers.now_s() - from_s).toBeCloseTo(GAP_S + DEADLINE_S + 0.033, 6);
  });

  it("lets instruments take turns, however many requests one of them has waiting", async () => {
    const { timers, station, units } = bench();
    const [one, two, three] = [station(1), station(2), station(3)];
    const asked = [
      ...Array.from({ length: 6 }, () => one.readRegisters("holding", 1, 1)),
      two.readRegisters("holding", 1, 1),
      three.readRegisters("holding", 1, 1),
      two.readRegisters("holding", 1, 1),
    ];
    await timers.settle(Promise.all(asked));
    expect(units).toEqual([1, 2, 3, 1, 2, 1, 1, 1, 1]);
  });

  it("starves nobody while one instrument is dead and asked without end", async () => {
    const { timers, station, silence } = bench();
    silence(1);
    const dead = station(1);
    const alive = station(2);
    let asking = true;
    const insist = async (): Promise<void> => {
      while (asking) await dead.readRegisters("holding", 1, 1);
    };
    const insisting = insist();
    const codes: string[] = [];
    for (let read = 0; read < 10; read += 1)
      codes.push(code(await timers.settle(alive.readRegisters("holding", 1, 1))));
    asking = false;
    await timers.settle(insisting);
    expect(codes.filter((each) => each === "value")).toHaveLength(10);
  });

  it("opens a port anew that gives no good answer three times in a row, and stays quiet across it", async () => {
    const { timers, station, wire, silence, sent_s, link } = bench();
    silence(1);
    const one = station(1);
    const { generation } = one;
    for (let read = 0; read < 3; read += 1) await timers.settle(one.readRegisters("holding", 1, 1));
    expect(one.generation).toBe(generation + 1);
    const failed_s = timers.now_s();
    silence();
    expect(code(await timers.settle(one.readRegisters("holding", 1, 1)))).toBe("value");
    expect(wire.opens).toBe(2);
    expect((sent_s[3] ?? 0) - failed_s).toBeGreaterThanOrEqual(QUIET_S - 1e-6);
    expect(link.counts()).toMatchObject({ opens: 2, silences: 3, losses: 0 });
  });

  it("pauses longer and longer between attempts to open, up to 2 s", async () => {
    const { timers, wire, link } = bench();
    const attempts: number[] = [];
    const { open } = wire.transport;
    Object.assign(wire.transport, {
      open: (events: Parameters<typeof open>[0]) => {
        attempts.push(timers.now_s());
        return open(events);
      },
    });
    wire.pullOut();
    expect(code(await timers.settle(link.open()))).toBe("cannot-open");
    await timers.pass(8);
    const pauses = attempts.slice(1).map((at_s, index) => Number((at_s - (attempts[index] ?? 0)).toFixed(3)));
    expect(pauses.slice(0, 9)).toEqual([0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 2, 2]);
    wire.plugIn();
    expect(code(await timers.settle(link.open()))).toBe("value");
    await timers.settle(link.close());
    const { length } = attempts;
    await timers.pass(10);
    expect(attempts).toHaveLength(length);
  });

  it("gives up an opening that never comes back, and drops it when it comes after all", async () => {
    const timers = virtualTimers();
    let closes = 0;
    let finish: () => void = () => undefined;
    const link = makeLink(
      {
        name: "line-1",
        timers,
        stamp: timers.stamp,
        answer_deadline_s: DEADLINE_S,
        quiet_after_trouble_s: QUIET_S,
        gap_s: 0,
        character_s: 0,
        after_trouble: "stay-quiet",
      },
      {
        where: "a port that hangs",
        open: () =>
          new Promise((resolve) => {
            finish = () =>
              resolve(
                ok({
                  write: () => undefined,
                  discard: () => Promise.resolve(),
                  close: () => {
                    closes += 1;
                    return Promise.resolve();
                  },
                }),
              );
          }),
      },
      "rtu",
    );
    const opened = await timers.settle(link.open());
    expect(code(opened)).toBe("cannot-open");
    expect(timers.now_s()).toBeCloseTo(3, 6);
    finish();
    await timers.pass(0.001);
    expect(closes).toBe(1);
  });

  it("says that a line never falls quiet instead of waiting for ever", async () => {
    const { timers, wire, station } = bench();
    const one = station(1);
    await timers.settle(one.readRegisters("holding", 1, 1));
    const babble = (): void => {
      wire.say(Uint8Array.of(0x55));
      timers.after(0.05, babble);
    };
    babble();
    const result = await timers.settle(one.readRegisters("holding", 1, 1));
    expect(code(result)).toBe("line-error");
    expect(result.ok ? "" : result.fault.message).toContain("never falls quiet");
  });

  it("closes at any moment, more than once, and settles everything at once", async () => {
    const { timers, station, silence, link } = bench();
    silence(1);
    const one = station(1);
    const asked = [one.readRegisters("holding", 1, 1), one.readRegisters("holding", 2, 1)];
    await timers.pass(0.05);
    const at_s = timers.now_s();
    await Promise.all([link.close(), link.close()]);
    expect((await timers.settle(Promise.all(asked))).map(code)).toEqual(["line-closed", "line-closed"]);
    expect(timers.now_s()).toBe(at_s);
    expect(code(await one.readRegisters("holding", 1, 1))).toBe("line-closed");
    expect(code(await link.open())).toBe("line-closed");
  });

  it("closes one station and leaves the others on the line in step", async () => {
    const { timers, station, silence } = bench();
    silence(1);
    const one = station(1);
    const two = station(2);
    const pending = one.readRegisters("holding", 1, 1);
    const other = two.readRegisters("holding", 7, 1);
    await timers.pass(0.05);
    one.close();
    expect(code(await timers.settle(pending))).toBe("line-closed");
    const answer = await timers.settle(other);
    expect(answer.ok ? answer.value.registers : answer.fault.code).toEqual([7]);
  });

  it("counts bytes that nobody asked for, and is careful after them", async () => {
    const { timers, wire, station, link, sent_s } = bench();
    const one = station(1);
    await timers.settle(one.readRegisters("holding", 1, 1));
    wire.say(Uint8Array.of(1, 3, 2, 0, 9));
    const from_s = timers.now_s();
    await timers.settle(one.readRegisters("holding", 1, 1));
    expect(link.counts()).toMatchObject({ stray_bytes: 5, quarantines: 1 });
    expect((sent_s[1] ?? 0) - from_s).toBeCloseTo(QUIET_S, 6);
  });

  it("takes an answer with a stray byte behind it, and is careful after it", async () => {
    const { timers, wire, station, sent_s } = bench();
    const one = station(1);
    const device = wire.device;
    wire.device = (request) => {
      sent_s.push(timers.now_s());
      for (const answer of rtuSlaveStream(() => bank).receive(request)) wire.say(Uint8Array.of(...answer, 0xff));
    };
    expect(code(await timers.settle(one.readRegisters("holding", 1, 1)))).toBe("value");
    wire.device = device;
    await timers.settle(one.readRegisters("holding", 1, 1));
    expect((sent_s[1] ?? 0) - (sent_s[0] ?? 0)).toBeCloseTo(QUIET_S, 6);
  });

  it("starts the quiet time again when a byte comes while the buffers are emptied", async () => {
    const { timers, wire, station, sent_s, silence } = bench();
    const { open } = wire.transport;
    Object.assign(wire.transport, {
      open: async (events: Parameters<typeof open>[0]) => {
        const opened = await open(events);
        if (!opened.ok) return opened;
        const discard = (): Promise<void> =>
          new Promise((resolve) => {
            timers.after(0.01, () => wire.say(Uint8Array.of(7)));
            timers.after(0.02, resolve);
          });
        let emptied = 0;
        const once = (): Promise<void> => {
          emptied += 1;
          return emptied === 1 ? discard() : Promise.resolve();
        };
        return ok({ ...opened.value, discard: once });
      },
    });
    const one = station(1);
    silence(1);
    await timers.settle(one.readRegisters("holding", 1, 1));
    silence();
    const failed_s = timers.now_s();
    expect(code(await timers.settle(one.readRegisters("holding", 1, 1)))).toBe("value");
    expect((sent_s[1] ?? 0) - failed_s).toBeCloseTo(QUIET_S + 0.01 + QUIET_S, 6);
  });

  it("goes back to the shortest pause after a good answer", async () => {
    const { timers, wire, station, link } = bench();
    const one = station(1);
    for (let round = 0; round < 6; round += 1) {
      await timers.settle(one.readRegisters("holding", 1, 1));
      wire.pullOut();
      wire.plugIn();
      const from_s = timers.now_s();
      expect((await timers.settle(link.open())).ok).toBe(true);
      expect(timers.now_s() - from_s).toBeCloseTo(0.02, 6);
    }
  });

  it("never lets one instrument ask for nothing, too much, or of nobody", async () => {
    const { station, link } = bench();
    for (const unit of [0, 248, 1.5]) expect(() => station(unit)).toThrow(RangeError);
    await expect(station(1).readRegisters("holding", 0, 0)).rejects.toThrow(RangeError);
    await expect(station(1).readRegisters("holding", 0, 126)).rejects.toThrow(RangeError);
    expect(link.counts().requests).toBe(0);
  });
});

describe("turns", () => {
  it("gives one job to each owner in turn, and drains by owner", () => {
    const turns = fairTurns<string, number>();
    for (const [owner, job] of [
      ["a", 1],
      ["a", 2],
      ["b", 3],
      ["a", 4],
      ["c", 5],
    ] as const) {
      turns.add(owner, job);
    }
    turns.remove("a", 4);
    expect(turns.waiting).toBe(4);
    expect([turns.next(), turns.next()]).toEqual([1, 3]);
    expect(turns.drain("a")).toEqual([2]);
    expect(turns.drain()).toEqual([5]);
    expect(turns.next()).toBeNull();
  });
});
