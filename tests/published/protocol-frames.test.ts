import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { toHex } from "../../drivers/frames/answer-receiver.ts";
import { crc16 } from "../../drivers/frames/crc16.ts";
import { decodeLine, encodeLine, lineReceiver } from "../../drivers/frames/line-text.ts";
import { encodeMbap, takeMbap } from "../../drivers/frames/mbap-frame.ts";
import { mbapReceiver } from "../../drivers/frames/mbap-receiver.ts";
import { exceptionWords, FUNCTION } from "../../drivers/frames/pdu.ts";
import type { RegisterBank } from "../../drivers/frames/register-slave.ts";
import { decodeRtu, encodeRtu, type ModbusMessage, serialTiming } from "../../drivers/frames/rtu-frame.ts";
import { rtuReceiver } from "../../drivers/frames/rtu-receiver.ts";
import { answerRtu } from "../../drivers/frames/slave-stream.ts";
import { lineDialect } from "../../drivers/lines/line-dialect.ts";
import { makeLink } from "../../drivers/links/make-link.ts";
import { type RegisterQuestion, requestComposer } from "../../drivers/links/modbus-client.ts";
import { parseProfile } from "../../drivers/profiles/read-profile.ts";
import type { RegisterField, RegisterOrder } from "../../drivers/profiles/register-profile.schema.ts";
import { decodeNumber } from "../../drivers/registers/register-value.ts";
import { inProcessWire } from "../drivers/in-process-wire.ts";
import { virtualTimers } from "../drivers/virtual-timers.ts";

const composeRequest = requestComposer();

/**
 * Frames from public sources, each with its source in the file beside this one: all of them decode, encode or are
 * refused as it says there.
 */
interface Case {
  readonly id: string;
  readonly transport: "modbus-rtu" | "modbus-tcp" | "modbus-ascii" | "scpi";
  readonly source: string;
  readonly request_hex: string;
  readonly response_hex: string;
  readonly meaning: string;
  readonly verdict?: "reject" | "incomplete" | "noise" | "echo" | "stale" | "undetectable" | "check-unit";
  readonly word_order?: RegisterOrder;
  readonly decoded?: readonly (number | string)[];
  readonly register_bytes_hex?: string;
  readonly text_request?: string;
  readonly text_response?: string;
}

const file: {
  readonly cases: readonly Case[];
  readonly rules: { readonly exceptions: { codes: Record<string, string> } };
} = JSON.parse(readFileSync(new URL("./protocol-frames.json", import.meta.url), "utf8"));

const bytes = (hex: string): Uint8Array => Uint8Array.from(Buffer.from(hex, "hex"));
const words = (data: Uint8Array): readonly number[] =>
  Array.from({ length: data.length >> 1 }, (_, index) => ((data[2 * index] ?? 0) << 8) | (data[2 * index + 1] ?? 0));
const of = (transport: Case["transport"]): readonly Case[] => file.cases.filter((each) => each.transport === transport);
const named = (id: string): Case => {
  const found = file.cases.find((each) => each.id === id);
  if (found === undefined) throw new Error(`there is no case ${id}`);
  return found;
};

const messageIn = (hex: string): ModbusMessage => {
  const decoded = decodeRtu(bytes(hex));
  if (decoded.kind !== "message") throw new Error(`${hex} is ${decoded.kind}`);
  return decoded.message;
};

/** The product's question that has this request, where the product asks such questions. */
const questionOf = ({ pdu }: ModbusMessage): RegisterQuestion | null => {
  const view = new DataView(pdu.buffer, pdu.byteOffset);
  const [address, count] = pdu.length >= 5 ? [view.getUint16(1), view.getUint16(3)] : [0, 0];
  switch (pdu[0]) {
    case FUNCTION.readCoils:
    case FUNCTION.readDiscrete:
      return { kind: "read-bits", table: pdu[0] === FUNCTION.readCoils ? "coil" : "discrete", address, count };
    case FUNCTION.readHolding:
    case FUNCTION.readInput:
      return { kind: "read-registers", table: pdu[0] === FUNCTION.readHolding ? "holding" : "input", address, count };
    case FUNCTION.writeCoil:
      return count === 0xff00 || count === 0 ? { kind: "write-coil", address, on: count !== 0 } : null;
    case FUNCTION.writeRegisters:
      return { kind: "write-registers", address, values: words(pdu.slice(6)) };
    default:
      return null;
  }
};

/** A bank that holds what the case's answer says, and takes every write. */
const bankOf = (response: ModbusMessage | null): RegisterBank => {
  const data = response === null ? new Uint8Array(0) : response.pdu.slice(2);
  const registers = (_: number, count: number): Uint16Array =>
    Uint16Array.from({ length: count }, (_unused, index) => words(data)[index] ?? 0);
  return {
    readHolding: registers,
    readInput: registers,
    readCoils: (_, count) =>
      Array.from({ length: count }, (_unused, index) => (((data[index >> 3] ?? 0) >> (index & 7)) & 1) === 1),
    writeHolding: () => true,
    writeCoils: () => true,
    identification: { maker: "Examp", model: "P10", version: "v1.3" },
  };
};

/** Serial-line diagnostics and the queue: Stillpoint neither asks nor answers them; their frames are decoded all the same. */
const UNSPOKEN = ["rtu-fc08-echo", "rtu-fc07", "rtu-fc24-fifo"];
const BAD_REQUEST = ["bad-crc-mask-published", "bad-crc-published", "bad-crc-swapped"];
/** The answers of these are what an instrument says of itself, not what follows from the request. */
const INSTRUMENT_REFUSES = /^(rtu-exception-02|exc-.*)$/u;

describe("published Modbus RTU frames", () => {
  it("has the check value of the checksum", () => {
    expect(crc16(bytes("313233343536373839"))).toBe(0x4b37);
  });

  it("keeps the silences of the serial line guide, with the fixed ones above 19200 bit/s", () => {
    // Table of the guide's rule for 11-bit characters, us: 3.5 characters.
    for (const [baud, gap_us] of [
      [1200, 32083.3],
      [9600, 4010.4],
      [19200, 2005.2],
    ] as const) {
      const { gap_s } = serialTiming({ baud, data_bits: 8, parity: "even", stop_bits: 1 });
      expect(gap_s * 1e6).toBeCloseTo(gap_us, 1);
    }
    expect(serialTiming({ baud: 115200, data_bits: 8, parity: "even", stop_bits: 1 }).gap_s).toBe(1.75e-3);
  });

  it("has words for every exception of the standard, and none for others", () => {
    for (const code of Object.keys(file.rules.exceptions.codes)) {
      expect(exceptionWords(Number.parseInt(code, 16))).not.toContain("does not define");
    }
    expect(exceptionWords(0x63)).toContain("99");
  });

  for (const each of of("modbus-rtu")) {
    const { id, request_hex, response_hex, verdict } = each;
    it(`${id}: ${each.meaning}`, () => {
      if (BAD_REQUEST.includes(id)) {
        expect(decodeRtu(bytes(request_hex)).kind).toBe("bad-crc");
        expect(answerRtu(() => bankOf(null), bytes(request_hex))).toBeNull();
        return;
      }
      const request = request_hex === "" ? null : messageIn(request_hex);
      if (request !== null) {
        expect(toHex(encodeRtu(request))).toBe(request_hex);
        const question = request.unit === 0 ? null : questionOf(request);
        if (question !== null) expect(toHex(composeRequest(request.unit, question).frame)).toBe(request_hex);
      }
      if (response_hex === "") return;
      if (verdict === undefined) expect(toHex(encodeRtu(messageIn(response_hex)))).toBe(response_hex);
      if (request === null) return;

      // The answering end.
      if (verdict === undefined && !INSTRUMENT_REFUSES.test(id)) {
        const answer = answerRtu(() => bankOf(messageIn(response_hex)), bytes(request_hex));
        const said = answer === null ? "" : toHex(answer);
        // An unspoken function is refused with exception 1.
        if (UNSPOKEN.includes(id)) expect(said.slice(4, 6)).toBe("01");
        else expect(said).toBe(response_hex);
      }

      // The asking end.
      if (UNSPOKEN.includes(id)) return;
      const receiver = rtuReceiver(request);
      const received = receiver.take(bytes(response_hex));
      switch (verdict) {
        case undefined:
        // Nothing in these bytes shows that they are old; the silence after a time-out keeps them away (see the traps).
        case "undetectable":
          if (id === "rtu-fc43-identity") expect(received.kind).toBe("more");
          else expect(received).toMatchObject({ kind: "answer", stray: 0 });
          return;
        case "incomplete":
          expect(received.kind).toBe("more");
          expect(receiver.atDeadline()?.reason).toContain("incomplete, 5 of 9");
          return;
        case "noise":
          expect(received).toMatchObject({ kind: "answer", stray: 1 });
          return;
        case "echo":
          expect(received.kind === "more" ? receiver.atDeadline() : received).toMatchObject({
            kind: "trouble",
            code: "line-error",
            reason: expect.stringContaining("hears itself"),
          });
          return;
        default:
          expect(received).toMatchObject({ kind: "trouble", code: "foreign-answer" });
      }
    });
  }

  it("parses what the answers say", () => {
    const parse = (id: string) => {
      const { request_hex, response_hex } = named(id);
      const request = messageIn(request_hex);
      const question = questionOf(request);
      if (question === null) throw new Error(`${id} is no question of the product`);
      return composeRequest(request.unit, question).parse(bytes(response_hex));
    };
    expect(parse("rtu-fc03-read-3")).toEqual({ kind: "values", values: [0xae41, 0x5652, 0x4340] });
    expect(parse("rtu-fc03-spec-unit1")).toEqual({ kind: "values", values: [555, 0, 100] });
    const coils = parse("rtu-fc01-read-coils");
    expect(coils.kind === "values" ? coils.values.length : 0).toBe(37);
    expect(coils.kind === "values" ? coils.values.slice(0, 8) : []).toEqual(
      // 0xCD, least significant bit first.
      [true, false, true, true, false, false, true, true],
    );
    for (const [id, code] of [
      ["exc-01", 1],
      ["exc-06", 6],
      ["exc-0a", 10],
      ["exc-unknown", 0x63],
    ] as const) {
      expect(parse(id)).toMatchObject({ kind: "refused", code });
    }
  });

  it("masks a register as the specification's example does", () => {
    let register = 0x0012;
    const bank: RegisterBank = {
      ...bankOf(null),
      readHolding: () => Uint16Array.of(register),
      writeHolding: (_, values) => {
        register = values[0] ?? 0;
        return true;
      },
    };
    answerRtu(() => bank, bytes(named("rtu-fc22-mask-unit1").request_hex));
    expect(register).toBe(0x0017);
  });
});

describe("published numbers in registers", () => {
  const field = (type: RegisterField["type"], order: RegisterOrder): RegisterField => ({
    table: "input",
    address: 0,
    type,
    order,
    scale: 1,
    offset: 0,
  });
  for (const each of file.cases.filter((one) => one.decoded !== undefined)) {
    const { id, decoded = [], word_order = "ABCD", register_bytes_hex } = each;
    const type = id.startsWith("i16") ? "int16" : id.startsWith("i32") ? "uint32" : "float32";
    it(`${id}: ${decoded.join(", ")} in order ${word_order}`, () => {
      const isWrite = messageInOrNull(each.request_hex)?.pdu[0] === FUNCTION.writeRegisters;
      const data =
        register_bytes_hex !== undefined
          ? bytes(register_bytes_hex)
          : isWrite
            ? messageIn(each.request_hex).pdu.slice(6)
            : messageIn(each.response_hex).pdu.slice(2);
      const size = type === "int16" ? 1 : 2;
      decoded.forEach((wanted, index) => {
        const value = decodeNumber(words(data).slice(size * index, size * (index + 1)), field(type, word_order));
        if (wanted === "NaN") expect(value).toBeNaN();
        else if (Number(wanted) === 0 || Math.abs(Number(wanted)) < 1e-38)
          expect(value).toBeCloseTo(Number(wanted), 40);
        // The published decimals carry seven to nine digits.
        else expect(Math.abs(value / Number(wanted) - 1)).toBeLessThan(5e-7);
      });
    });
  }

  it("tells the four orders of 101.325 apart only by the value", () => {
    const values = (["ABCD", "CDAB", "BADC", "DCBA"] as const).map((order) =>
      decodeNumber(words(messageIn(named("f32-101.325-abcd").response_hex).pdu.slice(2)), field("float32", order)),
    );
    expect(values.filter((value) => value > 80 && value < 120)).toHaveLength(1);
  });
});

const messageInOrNull = (hex: string): ModbusMessage | null => {
  const decoded = decodeRtu(bytes(hex));
  return decoded.kind === "message" ? decoded.message : null;
};

describe("published Modbus TCP frames", () => {
  for (const each of of("modbus-tcp")) {
    it(`${each.id}: ${each.meaning}`, () => {
      if (each.id === "tcp-bad-length") {
        const receiver = mbapReceiver({ transaction: 0x0c05, unit: 0xff, pdu: Uint8Array.of(3, 0, 0, 0, 1) });
        expect(receiver.take(bytes(each.response_hex))).toMatchObject({ kind: "trouble", code: "foreign-answer" });
        return;
      }
      const taken = takeMbap(bytes(each.request_hex));
      if (taken.kind !== "message") throw new Error(taken.kind);
      expect(taken.length).toBe(each.request_hex.length / 2);
      expect(toHex(encodeMbap(taken.message))).toBe(each.request_hex);
      if (each.response_hex === "") return;
      const receiver = mbapReceiver(taken.message);
      const received = receiver.take(bytes(each.response_hex));
      if (each.verdict === "stale") {
        expect(received.kind).toBe("more");
        expect(receiver.atDeadline()).toMatchObject({ code: "foreign-answer" });
      } else {
        expect(received).toMatchObject({ kind: "answer", stray: 0 });
      }
    });
  }
});

describe("published Modbus ASCII frames", () => {
  for (const each of of("modbus-ascii")) {
    it(`${each.id}: Stillpoint does not speak it, and takes it for nothing else`, () => {
      for (const hex of [each.request_hex, each.response_hex].filter((one) => one !== "")) {
        // The published frame itself is sound: the sum of its bytes with the LRC is zero.
        const binary = bytes(Buffer.from(bytes(hex)).toString("latin1").slice(1, -2));
        expect(binary.reduce((sum, byte) => (sum + byte) & 0xff, 0)).toBe(0);
        expect(decodeRtu(bytes(hex)).kind).toBe("bad-crc");
        expect(takeMbap(bytes(hex)).kind).toBe("broken");
        expect(rtuReceiver({ unit: 0x11, pdu: Uint8Array.of(3, 0, 0x7c, 0, 2) }).take(bytes(hex)).kind).not.toBe(
          "answer",
        );
      }
    });
  }
});

const PROFILE = `
format: stillpoint-line-profile 1
title: Published lines
role: current-source
line: {}
identity: { ask: "*IDN?", answer: '^(?<maker>[^,]+),(?<model>[^,]+),(?<serial_number>[^,]+),(?<version>.+)$' }
commands:
  current: { send: "SOUR:CURR {value}", confirm: "SOUR:CURR?", answer: '^(?<value>[+-]?\\d+(\\.\\d+)?([eE][+-]?\\d+)?)$', unit: A, decimals: 6 }
readings:
  commanded: { ask: "SOUR:CURR?", answer: '^(?<value>[+-]?\\d+(\\.\\d+)?([eE][+-]?\\d+)?)$', unit: A }
  pressure: { ask: "MEAS:PRES?", answer: '^(?<value>[+-]?\\d+(\\.\\d+)?([eE][+-]?\\d+)?)( (?<unit>\\S+))?$', unit: Pa }
errors: { ask: "SYST:ERR?", none: '^[+]?0,' }
`;

describe("published lines", () => {
  /** A line instrument that answers each line with the next of these, and what was sent to it. */
  const instrument = (...answers: readonly string[]) => {
    const parsed = parseProfile(PROFILE, "published.yaml");
    if (!parsed.ok || parsed.value.kind !== "lines") throw new Error("the profile cannot be read");
    const timers = virtualTimers();
    const wire = inProcessWire();
    const sent: string[] = [];
    const left = [...answers];
    wire.device = (request) => {
      const line = decodeLine(request);
      sent.push(line);
      if (!line.includes("?")) return;
      const answer = left.shift();
      if (answer !== undefined) timers.after(0.001, () => wire.say(Uint8Array.from(Buffer.from(answer, "latin1"))));
    };
    const link = makeLink(
      {
        name: "line-1",
        timers,
        stamp: timers.stamp,
        answer_deadline_s: 0.1,
        quiet_after_trouble_s: 0.1,
        gap_s: 0,
        character_s: 0,
        after_trouble: "stay-quiet",
      },
      wire.transport,
      "rtu",
    );
    const station = link.lines({ instrument: "source-1", ...parsed.value.line });
    return { dialect: lineDialect("source-1", parsed.value, station), sent, settle: timers.settle };
  };
  const answerOf = (id: string): string => named(id).text_response ?? "";

  for (const each of of("scpi")) {
    it(`${each.id} as bytes: ${each.meaning}`, () => {
      const { text_request = "", text_response = "" } = each;
      expect(toHex(Uint8Array.from(Buffer.from(text_request, "latin1")))).toBe(each.request_hex);
      const ending = text_request.endsWith("\r\n") ? "\r\n" : "\n";
      const encoded = encodeLine(text_request.slice(0, -ending.length), { ends_with: ending, encoding: "ascii" });
      expect(encoded === null ? "" : toHex(encoded)).toBe(each.request_hex);
      if (text_response === "") return;
      const received = lineReceiver({ ends_with: "\n", encoding: "ascii" }).take(bytes(each.response_hex));
      expect(received.kind === "answer" ? decodeLine(received.bytes) : received.kind).toBe(text_response.trimEnd());
    });
  }

  it("reads who an instrument is, with LF and with CR LF", async () => {
    for (const id of ["scpi-idn", "scpi-idn-crlf"]) {
      const { dialect, settle } = instrument(answerOf(id), answerOf("scpi-err-none"));
      expect(await settle(dialect.identity())).toMatchObject({
        ok: true,
        value: { maker: "EXAMPLE WORKS", model: "P-1000", serial_number: "SN42" },
      });
    }
  });

  it("reads whole numbers, fixed point and exponents alike", async () => {
    for (const [id, wanted] of [
      ["scpi-nr1", 100013],
      ["scpi-nr2", 100.013],
      ["scpi-nr3", 100013],
    ] as const) {
      const { dialect, settle } = instrument(answerOf(id));
      const said = await settle(dialect.read(["pressure"]));
      expect(said.ok ? said.value.values.get("pressure")?.value : said.fault.code).toBe(wanted);
    }
  });

  it("makes no number of SCPI's not-a-number and infinities, of a list, or of another unit", async () => {
    for (const id of ["scpi-nan", "scpi-under"]) {
      const { dialect, settle } = instrument(answerOf(id));
      const said = await settle(dialect.read(["pressure"]));
      expect(said.ok ? said.value.values.get("pressure")?.value : 0).toBeNaN();
    }
    for (const [id, code] of [
      ["scpi-list", "foreign-answer"],
      ["scpi-unit-in-answer", "wrong-setting"],
    ] as const) {
      const { dialect, settle } = instrument(answerOf(id));
      const said = await settle(dialect.read(["pressure"]));
      expect(said.ok ? "a value" : said.fault.code).toBe(code);
    }
  });

  it("sends a point and never a decimal comma, and reads back what was set", async () => {
    const { dialect, sent, settle } = instrument(answerOf("scpi-err-none"), answerOf("scpi-source"));
    expect((await settle(dialect.send("current", 0.012))).ok).toBe(true);
    const said = await settle(dialect.confirm("current"));
    expect(said.ok ? said.value.values.get("current")?.value : said.fault.code).toBe(0.012);
    expect(sent).toEqual(["SOUR:CURR 0.012000\n", "SYST:ERR?\n", "SOUR:CURR?\n"]);
    expect(sent.join("")).not.toContain(named("scpi-comma-decimal").text_request);
  });

  it("takes every complaint for a refusal, and only the empty queue for consent", async () => {
    for (const { id, text_response = "" } of of("scpi").filter((each) => each.id.startsWith("scpi-err"))) {
      const { dialect, settle } = instrument(text_response);
      const sent = await settle(dialect.send("current", 0.012));
      expect(sent.ok ? "taken" : sent.fault.code, id).toBe(id === "scpi-err-none" ? "taken" : "device-refused");
    }
  });
});
