/**
 * Facts of the Modbus protocol data unit that both ends need: function codes, limits, lengths, words for exceptions.
 * Source: MODBUS Application Protocol Specification V1.1b3, sections 6 and 7. Addresses are those of the PDU, from 0.
 */
export const FUNCTION = {
  readCoils: 0x01,
  readDiscrete: 0x02,
  readHolding: 0x03,
  readInput: 0x04,
  writeCoil: 0x05,
  writeRegister: 0x06,
  writeCoils: 0x0f,
  writeRegisters: 0x10,
  maskWrite: 0x16,
  readWrite: 0x17,
  encapsulated: 0x2b,
} as const;

export const LIMITS = {
  readBits: 2000,
  readRegisters: 125,
  writeBits: 1968,
  writeRegisters: 123,
  readWriteRegisters: 121,
  pdu: 253,
} as const;

/** The only sub-kind of function 43 that is spoken here: read device identification. */
export const DEVICE_IDENTIFICATION = 0x0e;

export type ExceptionCode = 1 | 2 | 3 | 4 | 5 | 6 | 8 | 10 | 11;

const EXCEPTION_WORDS: ReadonlyMap<number, string> = new Map([
  [1, "illegal function"],
  [2, "illegal data address"],
  [3, "illegal data value"],
  [4, "device failure"],
  [5, "acknowledged, still working"],
  [6, "device busy"],
  [8, "memory parity error"],
  [10, "gateway path unavailable"],
  [11, "gateway target did not answer"],
]);

/** Words for an exception code; an unknown code is named by its number and never guessed. */
export const exceptionWords = (code: number): string =>
  EXCEPTION_WORDS.get(code) ?? `exception code ${code}, which the standard does not define`;

/**
 * Length of a request PDU judged by its first bytes; `null` = more bytes are needed to tell, `undefined` = a function
 * whose length is not known here.
 */
export const requestPduLength = (pdu: Uint8Array): number | null | undefined => {
  const code = pdu[0];
  if (code === undefined) return null;
  switch (code) {
    case FUNCTION.readCoils:
    case FUNCTION.readDiscrete:
    case FUNCTION.readHolding:
    case FUNCTION.readInput:
    case FUNCTION.writeCoil:
    case FUNCTION.writeRegister:
      return 5;
    case FUNCTION.writeCoils:
    case FUNCTION.writeRegisters:
      return pdu.length < 6 ? null : 6 + (pdu[5] ?? 0);
    case FUNCTION.maskWrite:
      return 7;
    case FUNCTION.readWrite:
      return pdu.length < 10 ? null : 10 + (pdu[9] ?? 0);
    case FUNCTION.encapsulated:
      return 4;
    default:
      return undefined;
  }
};

/** The 16-bit value at a place, high byte first. */
export const wordAt = (bytes: Uint8Array, at: number): number => ((bytes[at] ?? 0) << 8) | (bytes[at + 1] ?? 0);

/** Length that the good answer to `request` has; `null` for a function whose answers differ in length. */
export const answerPduLength = (request: Uint8Array): number | null => {
  switch (request[0]) {
    case FUNCTION.readCoils:
    case FUNCTION.readDiscrete:
      return 2 + Math.ceil(wordAt(request, 3) / 8);
    case FUNCTION.readHolding:
    case FUNCTION.readInput:
    case FUNCTION.readWrite:
      return 2 + 2 * wordAt(request, 3);
    case FUNCTION.writeCoil:
    case FUNCTION.writeRegister:
    case FUNCTION.writeCoils:
    case FUNCTION.writeRegisters:
      return 5;
    case FUNCTION.maskWrite:
      return 7;
    default:
      return null;
  }
};

/** Length of an exception answer: function code with its top bit set, and the code. */
const EXCEPTION_PDU_LENGTH = 2;

export type AnswerJudgement =
  | { readonly kind: "good" }
  | { readonly kind: "exception"; readonly code: number }
  | { readonly kind: "foreign"; readonly reason: string };

const foreign = (reason: string): AnswerJudgement => ({ kind: "foreign", reason });

/**
 * Whether a whole answer PDU can be the answer to `request`: function, byte count, and what a write repeats. Two reads of
 * the same shape look alike: an answer to the one is no proof against the other, so the line has to keep them apart.
 */
export const judgeAnswer = (request: Uint8Array, answer: Uint8Array): AnswerJudgement => {
  const asked = request[0] ?? 0;
  const got = answer[0] ?? 0;
  if (got === (asked | 0x80)) {
    return answer.length === EXCEPTION_PDU_LENGTH
      ? { kind: "exception", code: answer[1] ?? 0 }
      : foreign(`an exception answer of ${answer.length} bytes, where it has to have ${EXCEPTION_PDU_LENGTH}`);
  }
  if (got !== asked) return foreign(`function ${got} was answered, function ${asked} was asked`);
  const wanted = answerPduLength(request);
  if (wanted !== null && answer.length !== wanted) {
    return foreign(`${answer.length} bytes were answered, ${wanted} were asked for`);
  }
  switch (asked) {
    case FUNCTION.readCoils:
    case FUNCTION.readDiscrete:
    case FUNCTION.readHolding:
    case FUNCTION.readInput:
    case FUNCTION.readWrite:
      return answer[1] === answer.length - 2 ? { kind: "good" } : foreign("the byte count does not fit the answer");
    case FUNCTION.writeCoil:
    case FUNCTION.writeRegister:
    case FUNCTION.writeCoils:
    case FUNCTION.writeRegisters:
    case FUNCTION.maskWrite:
      return answer.every((byte, index) => byte === request[index])
        ? { kind: "good" }
        : foreign("the answer repeats another address, count or value than was written");
    default:
      return { kind: "good" };
  }
};
