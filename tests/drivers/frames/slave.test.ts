import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { toHex } from "../../../drivers/frames/answer-receiver.ts";
import { LINE_LIMIT, lineReceiver } from "../../../drivers/frames/line-text.ts";
import { encodeMbap } from "../../../drivers/frames/mbap-frame.ts";
import { judgeAnswer } from "../../../drivers/frames/pdu.ts";
import { answerPdu, type RegisterBank } from "../../../drivers/frames/register-slave.ts";
import { decodeRtu, encodeRtu } from "../../../drivers/frames/rtu-frame.ts";
import { rtuReceiver } from "../../../drivers/frames/rtu-receiver.ts";
import { answerRtu, mbapSlaveStream, rtuSlaveStream } from "../../../drivers/frames/slave-stream.ts";

/** Ten holding registers and ten coils. */
const memory = () => {
  const registers = new Uint16Array(10);
  const coils = new Array<boolean>(10).fill(false);
  const inside = (address: number, count: number): boolean => address + count <= 10;
  const bank: RegisterBank = {
    readHolding: (address, count) => (inside(address, count) ? registers.slice(address, address + count) : null),
    readInput: () => 4,
    readCoils: (address, count) => (inside(address, count) ? coils.slice(address, address + count) : null),
    writeHolding: (address, values) => {
      if (!inside(address, values.length)) return false;
      registers.set(values, address);
      return true;
    },
    writeCoils: (address, values) => {
      if (!inside(address, values.length)) return false;
      values.forEach((bit, index) => {
        coils[address + index] = bit;
      });
      return true;
    },
  };
  return { bank, registers, coils };
};

const ask = (bank: RegisterBank, ...pdu: readonly number[]): string => toHex(answerPdu(bank, Uint8Array.from(pdu)));

describe("the answering end", () => {
  it("reads and writes registers and coils", () => {
    const { bank, registers, coils } = memory();
    expect(ask(bank, 0x10, 0, 2, 0, 2, 4, 0x12, 0x34, 0xab, 0xcd)).toBe("1000020002");
    expect(ask(bank, 0x03, 0, 2, 0, 2)).toBe("03041234abcd");
    expect(ask(bank, 0x06, 0, 1, 0, 7)).toBe("0600010007");
    expect(registers[1]).toBe(7);
    expect(ask(bank, 0x05, 0, 3, 0xff, 0)).toBe("050003ff00");
    expect(ask(bank, 0x0f, 0, 8, 0, 2, 1, 0x03)).toBe("0f00080002");
    expect(ask(bank, 0x01, 0, 0, 0, 10)).toBe("01020803");
    expect(coils[3]).toBe(true);
  });

  it("reads after writing in one transaction, and writes nothing when the read would be refused", () => {
    const { bank, registers } = memory();
    expect(ask(bank, 0x17, 0, 0, 0, 2, 0, 1, 0, 1, 2, 0, 9)).toBe("170400000009");
    expect(ask(bank, 0x17, 0, 9, 0, 2, 0, 1, 0, 1, 2, 0, 5)).toBe("9702");
    expect(registers[1]).toBe(9);
  });

  it("refuses with the code of the standard, and a bank may refuse with its own", () => {
    const { bank } = memory();
    expect(ask(bank, 0x03, 0, 9, 0, 2)).toBe("8302");
    expect(ask(bank, 0x03, 0, 0, 0, 0)).toBe("8303");
    expect(ask(bank, 0x04, 0, 0, 0, 1)).toBe("8404");
    expect(ask(bank, 0x02, 0, 0, 0, 1)).toBe("8201");
    expect(ask(bank, 0x2b, 0x0e, 1, 0)).toBe("ab01");
    expect(ask(bank, 0x14)).toBe("9401");
    expect(ask(bank, 0x10, 0, 0, 0, 2, 2, 0, 1)).toBe("9003");
  });

  it("carries a broadcast write out everywhere and answers nothing; a broadcast read does nothing", () => {
    const [a, b] = [memory(), memory()];
    const everyone = [a.bank, b.bank];
    const write = encodeRtu({ unit: 0, pdu: Uint8Array.of(6, 0, 1, 0, 5) });
    expect(answerRtu(() => a.bank, write, everyone)).toBeNull();
    expect([a.registers[1], b.registers[1]]).toEqual([5, 5]);
    expect(answerRtu(() => a.bank, encodeRtu({ unit: 0, pdu: Uint8Array.of(3, 0, 1, 0, 1) }), everyone)).toBeNull();
  });

  it("gives the same answers however its bytes are cut", () => {
    const requests = fc.array(
      fc.record({ unit: fc.constantFrom(1, 2, 9), address: fc.nat(12), value: fc.nat(65535), write: fc.boolean() }),
      { minLength: 1, maxLength: 6 },
    );
    fc.assert(
      fc.property(requests, fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1 }), (asked, cuts) => {
        const run = (portions: (all: Uint8Array) => readonly Uint8Array[], tcp: boolean): readonly string[] => {
          const banks = [memory().bank, memory().bank];
          const at = (unit: number): RegisterBank | null => banks[unit - 1] ?? null;
          const stream = tcp ? mbapSlaveStream(at) : rtuSlaveStream(at);
          const frames = asked.map(({ unit, address, value, write }, index) => {
            const pdu = Uint8Array.of(write ? 6 : 3, 0, address, ...(write ? [value >> 8, value & 255] : [0, 1]));
            return tcp ? encodeMbap({ transaction: index, unit, pdu }) : encodeRtu({ unit, pdu });
          });
          const all = Uint8Array.from(frames.flatMap((frame) => [...frame]));
          return portions(all).flatMap((portion) => stream.receive(portion).map(toHex));
        };
        const cut = (all: Uint8Array): readonly Uint8Array[] => {
          const parts: Uint8Array[] = [];
          for (let at = 0, turn = 0; at < all.length; turn += 1) {
            const size = cuts[turn % cuts.length] ?? 1;
            parts.push(all.slice(at, at + size));
            at += size;
          }
          return parts;
        };
        for (const tcp of [false, true]) expect(run(cut, tcp)).toEqual(run((all) => [all], tcp));
      }),
    );
  });

  it("says nothing to noise, whatever it is, and hears again after a silence", () => {
    const request = encodeRtu({ unit: 1, pdu: Uint8Array.of(3, 0, 0, 0, 1) });
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (noise) => {
        const { bank, registers } = memory();
        const stream = rtuSlaveStream(() => bank);
        const answers = stream.receive(noise);
        // Noise with a right checksum is a frame: one of 65,536.
        if (answers.length === 0) expect(registers.every((value) => value === 0)).toBe(true);
        stream.silence();
        expect(stream.receive(request)).toHaveLength(1);
      }),
    );
  });
});

describe("the asking end", () => {
  const request = { unit: 3, pdu: Uint8Array.of(3, 0, 10, 0, 2) };
  const answer = encodeRtu({ unit: 3, pdu: Uint8Array.of(3, 4, 1, 2, 3, 4) });

  it("takes an answer in any portions, and nothing else for it", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: answer.length - 1 }), (cut) => {
        const receiver = rtuReceiver(request);
        expect(receiver.take(answer.slice(0, cut)).kind).toBe("more");
        expect(receiver.take(answer.slice(cut))).toEqual({ kind: "answer", bytes: answer, stray: 0 });
      }),
    );
    fc.assert(
      fc.property(fc.nat(answer.length - 1), fc.integer({ min: 1, max: 255 }), (at, flip) => {
        const spoilt = answer.slice();
        spoilt[at] = (spoilt[at] ?? 0) ^ flip;
        const received = rtuReceiver(request).take(spoilt);
        expect(received.kind).not.toBe("answer");
      }),
    );
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 40 }), (noise) => {
        if (decodeRtu(noise).kind === "message") return;
        const receiver = rtuReceiver(request);
        const received = receiver.take(noise);
        if (received.kind === "more") expect(noise.length === 0 || receiver.atDeadline() !== null).toBe(true);
      }),
    );
  });

  it("wants what a write repeats to be what was written", () => {
    const write = Uint8Array.of(0x10, 0, 1, 0, 2, 4, 0, 1, 0, 2);
    expect(judgeAnswer(write, Uint8Array.of(0x10, 0, 1, 0, 2)).kind).toBe("good");
    expect(judgeAnswer(write, Uint8Array.of(0x10, 0, 3, 0, 2)).kind).toBe("foreign");
    expect(judgeAnswer(Uint8Array.of(5, 0, 1, 0xff, 0), Uint8Array.of(5, 0, 1, 0, 0)).kind).toBe("foreign");
    expect(judgeAnswer(write, Uint8Array.of(0x90, 2)).kind).toBe("exception");
    expect(judgeAnswer(write, Uint8Array.of(0x90, 2, 0)).kind).toBe("foreign");
    expect(judgeAnswer(write, Uint8Array.of(3, 2, 0, 0)).kind).toBe("foreign");
  });

  it("takes exactly one readable line, of bounded length", () => {
    const line = (text: string, format: Parameters<typeof lineReceiver>[0]) =>
      lineReceiver(format).take(Uint8Array.from(Buffer.from(text, "latin1")));
    const ascii = { ends_with: "\n", encoding: "ascii" } as const;
    expect(line("1.5\r\n", ascii).kind).toBe("answer");
    expect(line("\r\n1.5\n", ascii).kind).toBe("answer");
    expect(line("1.5", ascii).kind).toBe("more");
    expect(line("1.5\n2.5\n", ascii)).toMatchObject({ code: "foreign-answer" });
    expect(line("1.5\n2", ascii)).toMatchObject({ code: "foreign-answer" });
    expect(line("20 \u00b0C\n", ascii)).toMatchObject({ code: "line-error" });
    expect(line("20 \u00b0C\n", { ...ascii, encoding: "latin1" }).kind).toBe("answer");
    expect(line("1.5\u0000\n", ascii)).toMatchObject({ code: "line-error" });
    expect(line("x".repeat(LINE_LIMIT + 1), ascii)).toMatchObject({ code: "line-error" });
    expect(line("1.5\r", ascii).kind).toBe("more");
    expect(line("1.5\r", { ...ascii, ends_with: "\r" }).kind).toBe("answer");
    expect(line("1.5\r\n", { ...ascii, ends_with: "\r" }).kind).toBe("answer");
  });
});
