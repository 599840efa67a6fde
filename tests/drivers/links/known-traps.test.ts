import { createServer, type Server, type Socket } from "node:net";
import { afterEach, describe, expect, it } from "vitest";
import { toHex } from "../../../drivers/frames/answer-receiver.ts";
import type { RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { encodeRtu } from "../../../drivers/frames/rtu-frame.ts";
import { answerRtu, mbapSlaveStream, rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";
import { type LinkTiming, makeLinkTo } from "../../../drivers/links/make-link-to.ts";
import { openPseudoTerminal, type PseudoTerminal } from "../../../drivers/links/pseudo-terminal.ts";
import type { Link } from "../../../src/ports/link.ts";
import { type Second, seconds } from "../../../src/vocabulary/quantities.ts";
import { seededRandom } from "../wire-faults.ts";

/**
 * Traps of the packages and of the protocol that were met by running them, each held shut here over a real
 * pseudo-terminal or a real socket of this machine.
 */

const endings: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of endings.splice(0).reverse()) await end();
});

const stamp = (): Second => seconds(performance.now() / 1e3);
const truth = (address: number): number => (Math.imul(address, 40503) + 12345) & 0xffff;

const bank: RegisterBank = {
  readHolding: (address, count) => Uint16Array.from({ length: count }, (_, index) => truth(address + index)),
  readInput: () => null,
  readCoils: () => null,
  writeHolding: () => false,
  writeCoils: () => false,
};

const terminal = (): PseudoTerminal => {
  const opened = openPseudoTerminal();
  if (!opened.ok) throw new Error(opened.fault.message);
  endings.push(() => opened.value.close());
  return opened.value;
};

const serialLink = (path: string, timing: LinkTiming): Link => {
  const link = makeLinkTo(
    "line-1",
    { kind: "serial", port: path, baud: 115200, parity: "none", data_bits: 8, stop_bits: 1 },
    timing,
    { stamp },
  );
  endings.push(() => link.close());
  return link;
};

const tcpServer = async (serve: (socket: Socket) => void): Promise<{ port: number; server: Server }> => {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on("error", () => undefined);
    serve(socket);
  });
  await new Promise<void>((resolve) => {
    server.listen(0, "127.0.0.1", resolve);
  });
  endings.push(() => {
    for (const socket of sockets) socket.destroy();
    server.close();
  });
  const address = server.address();
  return { port: typeof address === "object" ? (address?.port ?? 0) : 0, server };
};

const tcpLink = (port: number, timing: LinkTiming): Link => {
  const link = makeLinkTo("line-1", { kind: "tcp", host: "127.0.0.1", port }, timing, { stamp });
  endings.push(() => link.close());
  return link;
};

const wait_ms = (time: number): Promise<void> =>
  new Promise((resolve) => {
    setTimeout(resolve, time);
  });

/** Time until a link notices that its line is gone; at most 1 s. */
const timeToLoss_ms = async (link: Link): Promise<number> => {
  const from = performance.now();
  while (link.counts().losses === 0 && performance.now() - from < 1000) await wait_ms(2);
  return performance.now() - from;
};

const SHORT: LinkTiming = { answer_deadline_s: 0.06, quiet_after_trouble_s: 0.06 };
const codeOf = (result: { readonly ok: boolean; readonly fault?: { readonly code: string } }): string =>
  result.ok ? "a value" : (result.fault?.code ?? "");

describe("known traps", () => {
  it("a late serial reply is never taken for the next one: 0 wrong of 1,000 reads over a line that drops, delays and spoils", async () => {
    const random = seededRandom(7);
    const line = terminal();
    const timing = { answer_deadline_s: 0.01, quiet_after_trouble_s: 0.03 };
    const slave = rtuSlaveStream((unit) => (unit === 3 ? bank : null));
    line.onBytes((bytes) => {
      slave.silence();
      for (const answer of slave.receive(bytes)) {
        const chance = random();
        if (chance < 0.03) continue;
        const spoilt = chance < 0.08;
        if (spoilt) answer[2 + Math.floor(random() * (answer.length - 2))] = 0x5a;
        if (chance >= 0.08 && chance < 0.12) setTimeout(() => line.write(answer), 12 + random() * 12);
        else line.write(answer);
      }
    });
    const link = serialLink(line.path, timing);
    const station = link.registers({ instrument: "gauge-1", unit: 3 });
    const seen = { right: 0, wrong: 0, faults: 0 };
    for (let read = 0; read < 1000; read += 1) {
      const address = Math.floor(random() * 5000);
      const answer = await station.readRegisters("holding", address, 2);
      if (!answer.ok) seen.faults += 1;
      else if (answer.value.registers[0] === truth(address) && answer.value.registers[1] === truth(address + 1)) {
        seen.right += 1;
      } else seen.wrong += 1;
    }
    expect(seen.wrong).toBe(0);
    expect(seen.right).toBeGreaterThan(700);
    expect(seen.faults).toBeGreaterThan(40);
    expect(link.counts().stray_bytes).toBeGreaterThan(0);
  });

  it("a promise always settles: no answer, port closed while waiting, server closed, server gone, connection reset", async () => {
    const line = terminal();
    const serial = serialLink(line.path, SHORT);
    const station = serial.registers({ instrument: "gauge-1", unit: 3 });
    expect(codeOf(await station.readRegisters("holding", 1, 1))).toBe("silence");
    const pending = station.readRegisters("holding", 1, 1);
    const waiting = station.readRegisters("holding", 2, 1);
    await serial.close();
    expect(codeOf(await pending)).toBe("line-closed");
    expect(codeOf(await waiting)).toBe("line-closed");

    const deeds: ((socket: Socket) => void)[] = [
      () => undefined,
      (socket) => socket.end(),
      (socket) => socket.resetAndDestroy(),
    ];
    const codes: string[] = [];
    for (const deed of deeds) {
      const { port } = await tcpServer((socket) => socket.on("data", () => deed(socket)));
      const link = tcpLink(port, SHORT);
      codes.push(codeOf(await link.registers({ instrument: "gauge-1", unit: 3 }).readRegisters("holding", 1, 1)));
    }
    expect(codes).toEqual(["silence", "line-lost", "line-lost"]);

    const { port, server } = await tcpServer(() => undefined);
    server.close();
    expect(codeOf(await tcpLink(port, SHORT).open())).toBe("cannot-open");
  });

  it("an unplug right behind a reply is noticed at once and burns no processor time", async () => {
    for (let round = 0; round < 4; round += 1) {
      const line = terminal();
      const slave = rtuSlaveStream(() => bank);
      line.onBytes((bytes) => {
        for (const answer of slave.receive(bytes)) line.write(answer);
      });
      const link = serialLink(line.path, { answer_deadline_s: 0.5, quiet_after_trouble_s: 0.1 });
      const station = link.registers({ instrument: "gauge-1", unit: 3 });
      for (let read = 0; read < 3; read += 1) {
        expect((await station.readRegisters("holding", read, 1)).ok).toBe(true);
      }
      // In the same breath as the answer: the port is about to be read again and finds it hung up.
      line.close();
      expect(await timeToLoss_ms(link)).toBeLessThan(100);
      const before = process.cpuUsage();
      const rest_s = 0.15;
      await wait_ms(rest_s * 1e3);
      const used = process.cpuUsage(before);
      // A missed hang-up turns in a circle and uses all of the time; opening attempts use a little.
      expect((used.user + used.system) / 1e6).toBeLessThan(rest_s / 2);
      await link.close();
    }
  });

  it("a port closed while it is being read does not end the process: 60 openings", async () => {
    const line = terminal();
    const slave = rtuSlaveStream(() => bank);
    line.onBytes((bytes) => {
      for (const answer of slave.receive(bytes)) line.write(answer);
    });
    for (let round = 0; round < 60; round += 1) {
      const link = serialLink(line.path, SHORT);
      const station = link.registers({ instrument: "gauge-1", unit: 3 });
      expect(codeOf(await station.readRegisters("holding", round, 1))).toBe("a value");
      // The next read of the port is now asked of the system, and has not come back.
      await new Promise((resolve) => {
        process.nextTick(resolve);
      });
      await link.close();
    }
  });

  it("an idle unplug is noticed in less than 100 ms", async () => {
    const line = terminal();
    const link = serialLink(line.path, SHORT);
    expect((await link.open()).ok).toBe(true);
    line.close();
    expect(await timeToLoss_ms(link)).toBeLessThan(100);
  });

  it("a slave does not obey a frame with a wrong checksum", () => {
    let written = 0;
    const obedient: RegisterBank = {
      ...bank,
      writeHolding: () => {
        written += 1;
        return true;
      },
    };
    const frame = encodeRtu({ unit: 3, pdu: Uint8Array.of(0x10, 0, 1, 0, 1, 2, 0x12, 0x34) });
    const spoilt = frame.slice();
    spoilt[spoilt.length - 1] = (spoilt[spoilt.length - 1] ?? 0) ^ 1;
    expect(answerRtu(() => obedient, spoilt, [obedient])).toBeNull();
    const stream = rtuSlaveStream(() => obedient, [obedient]);
    expect(stream.receive(spoilt)).toEqual([]);
    // What follows without a silence belongs to the same broken frame.
    expect(stream.receive(frame)).toEqual([]);
    expect(written).toBe(0);
    stream.silence();
    expect(stream.receive(frame).map(toHex)).toEqual(["03100001000151eb"]);
    expect(written).toBe(1);
  });

  it("half a line survives neither a time-out nor a reconnect", async () => {
    const line = terminal();
    let say = "HALF-";
    line.onBytes(() => line.write(Buffer.from(say)));
    const link = serialLink(line.path, SHORT);
    const station = link.lines({ instrument: "gauge-1", ends_with: "\n", encoding: "ascii" });
    const half = await station.ask("*IDN?");
    expect(codeOf(half)).toBe("line-error");
    expect(half.ok ? "" : half.fault.message).toContain("incomplete");
    say = "WHOLE\n";
    const whole = await station.ask("*IDN?");
    expect(whole.ok ? whole.value.text : whole.fault.message).toBe("WHOLE");

    const connections: Socket[] = [];
    const { port } = await tcpServer((socket) => {
      connections.push(socket);
      socket.on("data", () => {
        if (connections.length > 1) socket.write("ANEW\r\n");
        else socket.write("OLD-", () => setTimeout(() => socket.destroy(), 5));
      });
    });
    const tcp = tcpLink(port, SHORT).lines({ instrument: "gauge-1", ends_with: "\n", encoding: "ascii" });
    expect(codeOf(await tcp.ask("*IDN?"))).toBe("line-lost");
    const anew = await tcp.ask("*IDN?");
    expect(anew.ok ? anew.value.text : anew.fault.message).toBe("ANEW");
  });

  it("a second line does not wait for whoever asks next", async () => {
    const line = terminal();
    const answers = ["ONE\nTWO\n", "THREE\n", "FOUR\n"];
    let asked = 0;
    line.onBytes(() => {
      const answer = answers[asked] ?? "";
      asked += 1;
      line.write(Buffer.from(answer));
    });
    const link = serialLink(line.path, SHORT);
    const station = link.lines({ instrument: "gauge-1", ends_with: "\n", encoding: "ascii" });
    const texts: string[] = [];
    for (const _ of answers) {
      const answer = await station.ask("MEAS:PRES?");
      texts.push(answer.ok ? answer.value.text : answer.fault.code);
      // A leftover that comes when nobody waits.
      if (asked !== 2) continue;
      line.write(Buffer.from("LEFT OVER\n"));
      // On a busy machine it takes its time to arrive; only what is there before the next question can be told from its answer.
      for (let wait = 0; wait < 200 && link.counts().stray_bytes === 0; wait += 1) await wait_ms(5);
    }
    expect(texts).toEqual(["foreign-answer", "THREE", "FOUR"]);
  });

  it("two callers at once on one port each get their own answer", async () => {
    const line = terminal();
    const slave = rtuSlaveStream(() => bank);
    line.onBytes((bytes) => {
      slave.silence();
      for (const answer of slave.receive(bytes)) line.write(answer);
    });
    const link = serialLink(line.path, { answer_deadline_s: 1, quiet_after_trouble_s: 0.1 });
    const a = link.registers({ instrument: "gauge-1", unit: 3 });
    const b = link.registers({ instrument: "source-1", unit: 4 });
    const answers = await Promise.all(
      Array.from({ length: 40 }, (_, index) => (index % 2 === 0 ? a : b).readRegisters("holding", 10 * index, 1)),
    );
    expect(answers.map((answer) => (answer.ok ? answer.value.registers[0] : answer.fault.message))).toEqual(
      answers.map((_, index) => truth(10 * index)),
    );
  });

  it("stray bytes on a socket do not wedge it", async () => {
    let connections = 0;
    const { port } = await tcpServer((socket) => {
      connections += 1;
      const slave = mbapSlaveStream(() => bank);
      if (connections === 1) socket.write(Buffer.from([1, 2, 3]));
      socket.on("data", (bytes) => {
        for (const answer of slave.receive(bytes)) socket.write(answer);
      });
    });
    const station = tcpLink(port, SHORT).registers({ instrument: "gauge-1", unit: 3 });
    await station.readRegisters("holding", 1, 1);
    const codes: string[] = [];
    for (let read = 0; read < 5; read += 1) codes.push(codeOf(await station.readRegisters("holding", 1, 1)));
    expect(codes.slice(1)).toEqual(["a value", "a value", "a value", "a value"]);
  });

  it("a broadcast read is never sent", () => {
    const link = serialLink("/dev/none", SHORT);
    expect(() => link.registers({ instrument: "gauge-1", unit: 0 })).toThrow(RangeError);
  });

  it("a port that does not exist is named, and asking it ends too", async () => {
    const link = serialLink("/dev/no-such-port", SHORT);
    const opened = await link.open();
    expect(codeOf(opened)).toBe("cannot-open");
    expect(opened.ok ? "" : opened.fault.message).toContain("/dev/no-such-port");
    const station = link.registers({ instrument: "gauge-1", unit: 3 });
    expect(codeOf(await station.readRegisters("holding", 1, 1))).toBe("cannot-open");
  });
});
