import { encodeMbap, takeMbap } from "./mbap-frame.ts";
import { FUNCTION } from "./pdu.ts";
import { answerPdu, type RegisterBank } from "./register-slave.ts";
import { decodeRtu, encodeRtu, rtuRequestLength } from "./rtu-frame.ts";

/** The instrument behind a unit address, or null when nobody has it. */
export type BankAt = (unit: number) => RegisterBank | null;

const GATEWAY_TARGET_SILENT = 11;

const isWrite = (code: number): boolean =>
  code === FUNCTION.writeCoil ||
  code === FUNCTION.writeRegister ||
  code === FUNCTION.writeCoils ||
  code === FUNCTION.writeRegisters ||
  code === FUNCTION.maskWrite;

/**
 * Answers one whole RTU frame, or says nothing (`null`): wrong CRC, another unit, a broadcast. A broadcast write
 * (unit 0) is carried out by every unit in `everyone`; a broadcast of anything else is dropped.
 */
export const answerRtu = (
  bankAt: BankAt,
  frame: Uint8Array,
  everyone: readonly RegisterBank[] = [],
): Uint8Array | null => {
  const decoded = decodeRtu(frame);
  if (decoded.kind !== "message") return null;
  const { unit, pdu } = decoded.message;
  if (unit === 0) {
    if (isWrite(pdu[0] ?? 0)) for (const bank of everyone) answerPdu(bank, pdu);
    return null;
  }
  const bank = bankAt(unit);
  return bank === null ? null : encodeRtu({ unit, pdu: answerPdu(bank, pdu) });
};

export interface SlaveStream {
  /** Bytes as they come, in any portions; the answers that are now due, in order. */
  receive(bytes: Uint8Array): readonly Uint8Array[];
  /** The line has been silent for 3.5 characters: what is half received will never be whole. */
  silence(): void;
  /** True when the peer has lost step for good (TCP): hang up. */
  readonly broken: boolean;
}

const joined = (a: Uint8Array, b: Uint8Array): Uint8Array => {
  const all = new Uint8Array(a.length + b.length);
  all.set(a);
  all.set(b, a.length);
  return all;
};

const NOTHING = new Uint8Array(0);

/** RTU slave on a byte stream: frames by length, drops everything up to the next silence after a wrong CRC. */
export const rtuSlaveStream = (bankAt: BankAt, everyone: readonly RegisterBank[] = []): SlaveStream => {
  let buffer: Uint8Array = NOTHING;
  let deaf = false;
  return {
    broken: false,
    silence: () => {
      buffer = NOTHING;
      deaf = false;
    },
    receive: (bytes) => {
      if (deaf) return [];
      buffer = joined(buffer, bytes);
      const answers: Uint8Array[] = [];
      while (buffer.length > 0) {
        const length = rtuRequestLength(buffer);
        if (length === null || (length !== undefined && length > buffer.length)) return answers;
        // A function whose length is not known is taken as far as it came: one burst is one frame.
        const frame = buffer.subarray(0, length ?? buffer.length);
        if (decodeRtu(frame).kind !== "message") {
          deaf = true;
          buffer = NOTHING;
          return answers;
        }
        const answer = answerRtu(bankAt, frame, everyone);
        if (answer !== null) answers.push(answer);
        buffer = buffer.slice(frame.length);
      }
      return answers;
    },
  };
};

/** TCP slave on a byte stream. A unit that nobody has is answered with exception 11, as a gateway does. */
export const mbapSlaveStream = (bankAt: BankAt): SlaveStream => {
  let buffer: Uint8Array = NOTHING;
  let broken = false;
  return {
    get broken() {
      return broken;
    },
    silence: () => undefined,
    receive: (bytes) => {
      if (broken) return [];
      buffer = joined(buffer, bytes);
      const answers: Uint8Array[] = [];
      for (;;) {
        const taken = takeMbap(buffer);
        if (taken.kind === "more") return answers;
        if (taken.kind === "broken") {
          broken = true;
          return answers;
        }
        const { transaction, unit, pdu } = taken.message;
        const bank = bankAt(unit);
        const answer =
          bank === null ? Uint8Array.of((pdu[0] ?? 0) | 0x80, GATEWAY_TARGET_SILENT) : answerPdu(bank, pdu);
        answers.push(encodeMbap({ transaction, unit, pdu: answer }));
        buffer = buffer.slice(taken.length);
      }
    },
  };
};
