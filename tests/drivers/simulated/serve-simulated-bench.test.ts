import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { afterEach, describe, expect, it } from "vitest";
import { encodeMbap } from "../../../drivers/frames/mbap-frame.ts";
import { encodeRtu } from "../../../drivers/frames/rtu-frame.ts";
import { settingsFromWishes } from "../../../drivers/simulated/bench-settings.ts";
import { floatRegisters } from "../../../drivers/simulated/register-fields.ts";
import { type ServedBench, serveSimulatedBench } from "../../../drivers/simulated/serve-simulated-bench.ts";
import { lineBytes, rtuBytes } from "../../../drivers/simulated/served-bytes.ts";
import { createSimulatedBench } from "../../../drivers/simulated/simulated-bench.ts";
import { wireLines, wireRegisters } from "../../../drivers/simulated/wired-device.ts";

const setUp = () => {
  const bench = createSimulatedBench(settingsFromWishes());
  const devices = new Map([
    [1, wireRegisters(bench, "gauge", 1)],
    [2, wireRegisters(bench, "source", 1)],
    [247, wireRegisters(bench, "service", 1)],
  ]);
  return { bench, wire: rtuBytes(devices) };
};

const bytesOf = (value: number): readonly number[] => floatRegisters(value).flatMap((word) => [word >> 8, word & 0xff]);
/** Function 16: two registers from `address`. */
const setFloat = (address: number, value: number): Uint8Array =>
  Uint8Array.from([16, 0, address, 0, 2, 4, ...bytesOf(value)]);
const readPressure = Uint8Array.of(4, 0, 0, 0, 2);

describe("units on a serial line", () => {
  it("obey a right frame and no wrong one", () => {
    const { bench, wire } = setUp();
    const frame = encodeRtu({ unit: 2, pdu: setFloat(64, 12) });
    const spoilt = frame.slice();
    spoilt[frame.length - 1] = (spoilt[frame.length - 1] ?? 0) ^ 1;
    expect(wire.receive(spoilt)).toEqual([]);
    expect(bench.source.commanded_mA()).toBe(4);
    wire.silence();
    expect(wire.receive(encodeRtu({ unit: 3, pdu: setFloat(64, 12) }))).toEqual([]);
    expect(bench.source.commanded_mA()).toBe(4);
    expect(wire.receive(frame)).toHaveLength(1);
    expect(bench.source.commanded_mA()).toBe(12);
  });

  it("carry out a broadcast write in silence, and ignore a broadcast read", () => {
    const { bench, wire } = setUp();
    expect(wire.receive(encodeRtu({ unit: 0, pdu: setFloat(64, 8) }))).toEqual([]);
    expect(bench.source.commanded_mA()).toBe(8);
    expect(wire.receive(encodeRtu({ unit: 0, pdu: readPressure }))).toEqual([]);
    bench.silent.source = true;
    wire.receive(encodeRtu({ unit: 0, pdu: setFloat(64, 16) }));
    expect(bench.source.commanded_mA()).toBe(8);
  });

  it("take a frame in pieces, and go on after half a frame", () => {
    const { wire } = setUp();
    const frame = encodeRtu({ unit: 1, pdu: readPressure });
    expect(wire.receive(frame.slice(0, 3))).toEqual([]);
    expect(wire.receive(frame.slice(3))).toHaveLength(1);
    wire.receive(frame.slice(0, 5));
    wire.silence();
    expect(wire.receive(frame)).toHaveLength(1);
  });

  it("give no answer when unplugged", () => {
    const { bench, wire } = setUp();
    bench.silent.gauge = true;
    expect(wire.receive(encodeRtu({ unit: 1, pdu: readPressure }))).toEqual([]);
    bench.silent.gauge = false;
    expect(wire.receive(encodeRtu({ unit: 1, pdu: readPressure }))).toHaveLength(1);
  });

  it("keep the source from its fallback only by speaking to the source", () => {
    const { bench, wire } = setUp();
    wire.receive(encodeRtu({ unit: 2, pdu: setFloat(66, 2) }));
    wire.receive(encodeRtu({ unit: 2, pdu: setFloat(68, 4) }));
    wire.receive(encodeRtu({ unit: 2, pdu: setFloat(64, 16) }));
    for (let t = 1; t <= 10; t++) {
      bench.advanceTo(t);
      wire.receive(encodeRtu({ unit: 2, pdu: readPressure }));
    }
    expect(bench.source.commanded_mA()).toBe(16);
    for (let t = 11; t <= 13; t++) {
      bench.advanceTo(t);
      wire.receive(encodeRtu({ unit: 1, pdu: readPressure }));
    }
    expect(bench.source.commanded_mA()).toBe(4);
    expect(bench.source.status().fallback_active).toBe(true);
  });
});

describe("an instrument that speaks lines", () => {
  it("takes lines in pieces and several at once", () => {
    const bench = createSimulatedBench(settingsFromWishes());
    const wire = lineBytes(wireLines(bench, "source"));
    const text = (parts: readonly Uint8Array[]): string => Buffer.concat(parts).toString("latin1");
    expect(text(wire.receive(Buffer.from("SOUR:CURR 8\r\nSOUR:")))).toBe("");
    expect(text(wire.receive(Buffer.from("CURR?\nSYST:ERR?\n")))).toBe('8\n0,"No error"\n');
    bench.silent.source = true;
    expect(text(wire.receive(Buffer.from("*IDN?\n")))).toBe("");
  });
});

describe("served bench", () => {
  let served: ServedBench | null = null;
  const sockets: Socket[] = [];
  afterEach(async () => {
    for (const socket of sockets.splice(0)) socket.destroy();
    await served?.close();
    served = null;
  });

  const dial = async (name: string): Promise<Socket> => {
    const endpoint = served?.endpoints.get(name);
    if (endpoint?.kind !== "tcp") throw new Error(`no TCP wire ${name}`);
    const socket = connect(endpoint.port, endpoint.host);
    sockets.push(socket);
    await once(socket, "connect");
    return socket;
  };

  it("runs on the clock that is handed in, times the factor, and unplugs", async () => {
    let clock_s = 100;
    const bench = createSimulatedBench(settingsFromWishes());
    const opened = await serveSimulatedBench({
      bench,
      tcp: [
        { name: "rack", units: [{ address: 1, device: "gauge" }] },
        { name: "text", text: "source" },
      ],
      factor: 50,
      now: () => clock_s,
    });
    if (!opened.ok) throw new Error(opened.fault.message);
    served = opened.value;
    const text = await dial("text");
    text.write("SOUR:CURR 20\nSOUR:CURR?\n");
    expect(String((await once(text, "data"))[0])).toBe("20\n");
    clock_s += 1;
    const rack = await dial("rack");
    rack.write(encodeMbap({ transaction: 7, unit: 1, pdu: readPressure }));
    const [answer] = (await once(rack, "data")) as [Buffer];
    expect(answer.readUInt16BE(0)).toBe(7);
    expect(answer.readFloatBE(9)).toBeCloseTo(100, 1);
    expect(bench.time_s()).toBeCloseTo(50, 6);
    expect(served.time_s()).toBe(50);
    served.unplug("rack");
    await once(rack, "close");
  });

  it("says which wire could not be opened", async () => {
    const bench = createSimulatedBench(settingsFromWishes());
    const options = { bench, now: () => 0 };
    const first = await serveSimulatedBench({ ...options, tcp: [{ name: "a", text: "gauge" }] });
    if (!first.ok) throw new Error(first.fault.message);
    served = first.value;
    const endpoint = served.endpoints.get("a");
    const port = endpoint?.kind === "tcp" ? endpoint.port : 0;
    const second = await serveSimulatedBench({ ...options, tcp: [{ name: "b", text: "gauge", port }] });
    expect(second.ok).toBe(false);
    expect(!second.ok && second.fault.message).toMatch(/wire b/u);
  });
});
