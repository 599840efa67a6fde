import { takeMbap } from "../frames/mbap-frame.ts";
import { answerPduLength, exceptionWords, FUNCTION, requestPduLength, wordAt } from "../frames/pdu.ts";
import { decodeRtu } from "../frames/rtu-frame.ts";
import type { RegisterField } from "./register-profile.schema.ts";

/** What was found in a row of captured bytes, in order. */
export type Captured =
  | {
      readonly kind: "answer";
      readonly unit: number;
      readonly table: RegisterField["table"];
      /** null: the question was not captured, so nobody can tell which registers these are. */
      readonly address: number | null;
      readonly values: readonly number[];
    }
  | { readonly kind: "refusal"; readonly unit: number; readonly words: string }
  | { readonly kind: "other"; readonly unit: number; readonly words: string }
  | { readonly kind: "unreadable"; readonly bytes: number };

const TABLES: Readonly<Record<number, RegisterField["table"]>> = {
  [FUNCTION.readCoils]: "coil",
  [FUNCTION.readDiscrete]: "discrete",
  [FUNCTION.readHolding]: "holding",
  [FUNCTION.readInput]: "input",
};

const isBits = (table: RegisterField["table"]): boolean => table === "coil" || table === "discrete";

const valuesIn = (table: RegisterField["table"], pdu: Uint8Array, count: number): readonly number[] =>
  Array.from({ length: count }, (_, index) =>
    isBits(table) ? ((pdu[2 + (index >>> 3)] ?? 0) >>> (index & 7)) & 1 : wordAt(pdu, 2 + 2 * index),
  );

interface Message {
  readonly unit: number;
  readonly pdu: Uint8Array;
}

/** Whole checked messages in a row of bytes; what fits nowhere is counted and skipped byte by byte. */
const cutRtu = (bytes: Uint8Array): readonly (Message | number)[] => {
  const found: (Message | number)[] = [];
  let at = 0;
  let skipped = 0;
  /** Lengths that a frame here may have: as a question, as an answer that states its length, as an exception. */
  const lengthsAt = (from: number): readonly number[] => {
    const pdu = bytes.subarray(from + 1);
    const asked = requestPduLength(pdu);
    return [typeof asked === "number" ? asked + 3 : 0, 5 + (pdu[1] ?? 0), 8, 5].filter(
      (length) => length >= 4 && from + length <= bytes.length,
    );
  };
  while (at < bytes.length) {
    const whole = lengthsAt(at)
      .map((length) => ({ length, decoded: decodeRtu(bytes.subarray(at, at + length)) }))
      .find(({ decoded }) => decoded.kind === "message");
    if (whole?.decoded.kind !== "message") {
      at += 1;
      skipped += 1;
      continue;
    }
    if (skipped > 0) found.push(skipped);
    skipped = 0;
    found.push(whole.decoded.message);
    at += whole.length;
  }
  return skipped > 0 ? [...found, skipped] : found;
};

const cutMbap = (bytes: Uint8Array): readonly (Message | number)[] => {
  const found: (Message | number)[] = [];
  let rest = bytes;
  while (rest.length > 0) {
    const taken = takeMbap(rest);
    if (taken.kind !== "message") return [...found, rest.length];
    found.push(taken.message);
    rest = rest.subarray(taken.length);
  }
  return found;
};

const unread = (found: readonly (Message | number)[]): number =>
  found.reduce((sum: number, each) => sum + (typeof each === "number" ? each : 0), 0);

/** A read over RTU can look like a TCP header, but not with a right checksum behind it as well: what leaves less over. */
const cut = (bytes: Uint8Array): readonly (Message | number)[] => {
  const [rtu, mbap] = [cutRtu(bytes), cutMbap(bytes)];
  return unread(mbap) < unread(rtu) ? mbap : rtu;
};

/** Reads captured traffic, RTU or TCP, with or without the questions. */
export const readCapture = (bytes: Uint8Array): readonly Captured[] => {
  const captured: Captured[] = [];
  let question: Message | null = null;
  for (const message of cut(bytes)) {
    if (typeof message === "number") {
      captured.push({ kind: "unreadable", bytes: message });
      continue;
    }
    const { unit, pdu } = message;
    const code = pdu[0] ?? 0;
    const table = TABLES[code];
    const answers: boolean =
      question !== null &&
      question.unit === unit &&
      question.pdu[0] === code &&
      answerPduLength(question.pdu) === pdu.length;
    if ((code & 0x80) !== 0) {
      captured.push({ kind: "refusal", unit, words: exceptionWords(pdu[1] ?? 0) });
      question = null;
    } else if (table !== undefined && answers && question !== null && pdu[1] === pdu.length - 2) {
      const [address, count] = [wordAt(question.pdu, 1), wordAt(question.pdu, 3)];
      captured.push({ kind: "answer", unit, table, address, values: valuesIn(table, pdu, count) });
      question = null;
    } else if (table !== undefined && pdu.length === 5 && pdu[1] !== 3) {
      question = message;
    } else if (table !== undefined && pdu[1] === pdu.length - 2) {
      const count = isBits(table) ? 8 * (pdu.length - 2) : (pdu.length - 2) / 2;
      captured.push({ kind: "answer", unit, table, address: null, values: valuesIn(table, pdu, count) });
    } else {
      captured.push({ kind: "other", unit, words: `function ${code}` });
    }
  }
  return captured;
};
