import { readFileSync } from "node:fs";
import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { describe, expect, it } from "vitest";
import type { AnswerReceiver } from "../../drivers/frames/answer-receiver.ts";
import { lineReceiver } from "../../drivers/frames/line-text.ts";
import { encodeMbap, takeMbap } from "../../drivers/frames/mbap-frame.ts";
import { mbapReceiver } from "../../drivers/frames/mbap-receiver.ts";
import type { RegisterBank } from "../../drivers/frames/register-slave.ts";
import { decodeRtu, encodeRtu } from "../../drivers/frames/rtu-frame.ts";
import { rtuReceiver } from "../../drivers/frames/rtu-receiver.ts";
import { mbapSlaveStream, rtuSlaveStream } from "../../drivers/frames/slave-stream.ts";
import { readCapture } from "../../drivers/profiles/captured-frames.ts";
import { parseProfile } from "../../drivers/profiles/read-profile.ts";
import { parseEndpoints } from "../../src/app/endpoints.ts";
import { foldRun } from "../../src/readings/fold-run.ts";
import { parseReadingsCsv } from "../../src/readings/readings-csv.ts";
import { decodeRecord } from "../../src/readings/record-codec.ts";
import { seededRandom } from "./wire-faults.ts";

/**
 * Bytes that nobody meant, at every place where bytes or text come in: whole rubbish, and good input with a few bytes
 * changed, cut or doubled, in portions of any size. Nothing may throw, hang, or keep memory. The seed is fixed; the number
 * of inputs can be raised by STILLPOINT_FUZZ (a factor) for a long night.
 */
const FACTOR = Number(process.env["STILLPOINT_FUZZ"] ?? 1);
/** No single input may take longer, ms; a busy machine is allowed for. */
const SLOWEST_MS = 1500;
const MOST_GROWTH_MB = 12;

setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;
const heap_MB = (): number => {
  collect();
  return process.memoryUsage().heapUsed / 1e6;
};

const random = seededRandom(20_261_125);
const below = (limit: number): number => Math.floor(random() * limit);
const rubbish = (longest: number): Uint8Array => Uint8Array.from({ length: below(longest + 1) }, () => below(256));

/** A good input with up to four things done to it. */
const spoilt = (good: Uint8Array): Uint8Array => {
  const bytes = [...good];
  for (let done = below(5); done > 0; done -= 1) {
    const at = below(bytes.length + 1);
    switch (below(5)) {
      case 0:
        bytes.splice(at, 1, below(256));
        break;
      case 1:
        bytes.splice(at, 1 + below(8));
        break;
      case 2:
        bytes.splice(at, 0, ...rubbish(6));
        break;
      case 3:
        bytes.splice(at, 0, ...bytes.slice(at, at + 1 + below(20)));
        break;
      default:
        if (bytes.length > 0) bytes[at % bytes.length] = (bytes[at % bytes.length] ?? 0) ^ (1 << below(8));
    }
  }
  return Uint8Array.from(bytes);
};

const portions = function* (bytes: Uint8Array): Generator<Uint8Array> {
  for (let from = 0; from < bytes.length; ) {
    const to = Math.min(bytes.length, from + 1 + below(random() < 0.3 ? 3 : 40));
    yield bytes.subarray(from, to);
    from = to;
  }
};

const hammer = (count: number, one: () => void): void => {
  const warm = Math.min(2000, Math.ceil(count / 5));
  for (let i = 0; i < warm; i += 1) one();
  const before_MB = heap_MB();
  let slowest_ms = 0;
  for (let i = 0; i < count * FACTOR; i += 1) {
    const from_ms = performance.now();
    one();
    slowest_ms = Math.max(slowest_ms, performance.now() - from_ms);
  }
  expect(heap_MB() - before_MB).toBeLessThan(MOST_GROWTH_MB);
  expect(slowest_ms).toBeLessThan(SLOWEST_MS);
};

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const asText = (bytes: Uint8Array): string => new TextDecoder("utf-8").decode(bytes);

const request = { unit: 3, pdu: Uint8Array.of(4, 0, 0, 0, 8), transaction: 77 };
const answerPdu = Uint8Array.from([4, 16, ...Array.from({ length: 16 }, (_, i) => i * 7)]);
const rtuAnswer = encodeRtu({ unit: 3, pdu: answerPdu });
const mbapAnswer = encodeMbap({ unit: 3, pdu: answerPdu, transaction: 77 });

const bank: RegisterBank = {
  readHolding: (_, count) => new Uint16Array(count),
  readInput: (_, count) => new Uint16Array(count),
  readCoils: (_, count) => Array.from({ length: count }, () => true),
  writeHolding: () => true,
  writeCoils: () => true,
  identification: { maker: "SIMULATED", model: "fuzz", version: "1" },
};

/** Feeds a receiver as the lane does: until it has an answer or trouble, then it is thrown away. */
const feed = (receiver: AnswerReceiver, bytes: Uint8Array): Uint8Array | null => {
  for (const part of portions(bytes)) {
    const received = receiver.take(part);
    if (received.kind === "answer") return received.bytes;
    if (received.kind === "trouble") return null;
  }
  receiver.atDeadline();
  return null;
};

describe("random bytes", () => {
  it("at the answers of Modbus RTU and TCP and of lines: 120,000 inputs, and what is taken is whole", () => {
    hammer(40_000, () => {
      const rtu = feed(rtuReceiver(request), random() < 0.2 ? rubbish(300) : spoilt(rtuAnswer));
      if (rtu !== null) expect(decodeRtu(rtu).kind).toBe("message");
      const mbap = feed(mbapReceiver(request), random() < 0.2 ? rubbish(300) : spoilt(mbapAnswer));
      if (mbap !== null) expect(decodeRtu(mbap).kind).toBe("message");
      const format = {
        ends_with: random() < 0.5 ? "\n" : "\r",
        encoding: random() < 0.5 ? "ascii" : "latin1",
      } as const;
      const line = feed(lineReceiver(format), random() < 0.2 ? rubbish(6000) : spoilt(utf8("+1.2345E+01\r\n")));
      if (line !== null) expect([...line].every((byte) => byte === 9 || byte >= 32)).toBe(true);
    });
  }, 120_000);

  it("at frames and at the answering ends: 100,000 inputs", () => {
    hammer(25_000, () => {
      decodeRtu(rubbish(260));
      takeMbap(random() < 0.3 ? rubbish(300) : spoilt(mbapAnswer));
      const question = spoilt(random() < 0.5 ? encodeRtu(request) : encodeRtu({ unit: 3, pdu: rubbish(40) }));
      const rtu = rtuSlaveStream((unit) => (unit === 3 ? bank : null), [bank]);
      for (const part of portions(question)) {
        rtu.receive(part);
        if (random() < 0.1) rtu.silence();
      }
      const tcp = mbapSlaveStream((unit) => (unit === 3 ? bank : null));
      for (const part of portions(spoilt(encodeMbap({ ...request, pdu: rubbish(60) })))) tcp.receive(part);
    });
  }, 120_000);

  it("at captured traffic: 10,000 inputs", () => {
    const traffic = Uint8Array.from([...encodeRtu(request), ...rtuAnswer, ...encodeRtu(request), ...rtuAnswer]);
    hammer(10_000, () => void readCapture(random() < 0.3 ? rubbish(400) : spoilt(traffic)));
  }, 120_000);

  it("at one open line for a long time: 50,000 answers through one slave, with the same memory", () => {
    const rtu = rtuSlaveStream((unit) => (unit === 3 ? bank : null));
    const tcp = mbapSlaveStream(() => bank);
    hammer(50_000, () => {
      rtu.receive(random() < 0.5 ? encodeRtu(request) : spoilt(encodeRtu(request)));
      if (random() < 0.2) rtu.silence();
      tcp.receive(encodeMbap(request));
    });
  }, 120_000);
});

const textCase = (name: string, count: number, goods: readonly string[], parse: (text: string) => unknown): void => {
  it(`at ${name}: ${count} texts`, () => {
    const bytes = goods.map(utf8);
    hammer(count, () => {
      const good = bytes[below(bytes.length)] ?? new Uint8Array(0);
      // A piece of a long text is spoilt as well as the whole.
      const from = random() < 0.3 ? below(good.length) : 0;
      parse(random() < 0.1 ? asText(rubbish(400)) : asText(spoilt(good.subarray(from))));
    });
  }, 120_000);
};

const shipped = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");

describe("random text", () => {
  textCase(
    "profiles",
    1500,
    ["reference-gauge-registers", "loop-source-registers", "reference-gauge-lines"].map((name) =>
      shipped(`drivers/profiles/${name}.yaml`),
    ),
    (text) => parseProfile(text, "fuzz.yaml"),
  );
  const record = shipped("tests/readings/fixtures/record-version-1.jsonl").split("\n");
  textCase("records", 1500, [record.slice(0, 12).join("\n"), record.slice(-12).join("\n")], (text) => {
    const decoded = decodeRecord(text);
    if (decoded.ok) foldRun(decoded.value.events);
  });
  textCase(
    "tables of readings",
    4000,
    [
      "# stillpoint-readings 1\n# mode: gauge\nordinal,cycle,direction,nominal_mA,applied_mA,output_psi\n1,1,rising,4,4.0003,3.002\n2,1,rising,12,12.001,\n3,1,falling,4,,2.998\n",
      "# stillpoint-readings 1\nordinal;cycle;direction;nominal_mA;applied_mA;output_kPa\n1;1;rising;4;4,0003;20,68\n2;1;falling;12;12,001;62,05\n",
    ],
    (text) => parseReadingsCsv(text, "fuzz.csv"),
  );
  textCase(
    "places of a simulated bench",
    4000,
    [
      '{"format":"stillpoint-endpoints 1","simulated":true,"factor":2,"links":{},"service":{"kind":"tcp","host":"127.0.0.1","port":1502}}',
    ],
    (text) => parseEndpoints(text, "fuzz.json"),
  );
});
