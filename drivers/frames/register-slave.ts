import { DEVICE_IDENTIFICATION, type ExceptionCode, FUNCTION, LIMITS } from "./pdu.ts";

/**
 * The answering end of Modbus as pure logic: request bytes in, answer bytes out. It serves the simulated instruments and
 * the wire fakes of the tests. It obeys only what is wholly right: a frame with a wrong CRC changes nothing.
 */

/** A refusal is the exception code that is to be answered; `null` stands for code 2, illegal data address. */
export type Refusal = ExceptionCode | null;

/** What an instrument holds. Registers are 16-bit values; addresses start at 0; `count` is at least 1. */
export interface RegisterBank {
  readHolding(address: number, count: number): Uint16Array | Refusal;
  readInput(address: number, count: number): Uint16Array | Refusal;
  readCoils(address: number, count: number): readonly boolean[] | Refusal;
  readDiscrete?(address: number, count: number): readonly boolean[] | Refusal;
  /** True when all values were taken; otherwise nothing was changed. */
  writeHolding(address: number, values: Uint16Array): true | false | ExceptionCode;
  writeCoils(address: number, values: readonly boolean[]): true | false | ExceptionCode;
  /** Objects 0, 1, 2 of the basic device identification. Left out: function 43 is refused. */
  readonly identification?: { readonly maker: string; readonly model: string; readonly version: string };
}

const exception = (code: number, reason: ExceptionCode): Uint8Array => Uint8Array.of(code | 0x80, reason);

const withRegisters = (code: number, found: Uint16Array | Refusal): Uint8Array => {
  if (!(found instanceof Uint16Array)) return exception(code, found ?? 2);
  const pdu = new Uint8Array(2 + 2 * found.length);
  const view = new DataView(pdu.buffer);
  view.setUint8(0, code);
  view.setUint8(1, 2 * found.length);
  found.forEach((value, index) => {
    view.setUint16(2 + 2 * index, value);
  });
  return pdu;
};

/** Bits travel least significant first; the spare bits of the last byte are zero. */
const withBits = (code: number, found: readonly boolean[] | Refusal): Uint8Array => {
  if (found === null || typeof found === "number") return exception(code, found ?? 2);
  const pdu = new Uint8Array(2 + Math.ceil(found.length / 8));
  pdu[0] = code;
  pdu[1] = pdu.length - 2;
  found.forEach((bit, index) => {
    if (bit) pdu[2 + (index >>> 3)] = (pdu[2 + (index >>> 3)] ?? 0) | (1 << (index & 7));
  });
  return pdu;
};

const afterWrite = (code: number, taken: true | false | ExceptionCode, echo: Uint8Array): Uint8Array =>
  taken === true ? echo.slice() : exception(code, taken === false ? 2 : taken);

const registersIn = (view: DataView, at: number, count: number): Uint16Array =>
  Uint16Array.from({ length: count }, (_, index) => view.getUint16(at + 2 * index));

const identificationAnswer = (bank: RegisterBank, pdu: Uint8Array): Uint8Array => {
  const [code = 0, kind, readCode = 0, firstObject = 0] = pdu;
  const known = bank.identification;
  if (known === undefined || kind !== DEVICE_IDENTIFICATION) return exception(code, 1);
  const objects = [known.maker, known.model, known.version];
  const single = readCode === 4;
  if (readCode < 1 || readCode > 4) return exception(code, 3);
  if (single && firstObject >= objects.length) return exception(code, 2);
  // A basic stream that asks for an object that is not there starts again at the first.
  const from = firstObject < objects.length ? firstObject : 0;
  const chosen = objects.slice(from, single ? from + 1 : objects.length);
  const body = chosen.flatMap((text, index) => {
    const bytes = [...text].map((character) => character.charCodeAt(0) & 0x7f).slice(0, 64);
    return [from + index, bytes.length, ...bytes];
  });
  return Uint8Array.from([code, DEVICE_IDENTIFICATION, readCode, 0x01, 0x00, 0x00, chosen.length, ...body]);
};

const wellCounted = (count: number, limit: number): boolean => count >= 1 && count <= limit;
const insideSpace = (address: number, count: number): boolean => address + count <= 0x10000;

/**
 * Answers one request PDU. Functions 1 to 6, 15, 16, 22, 23 and 43/14; anything else is exception 1. Order of the checks
 * as in the state diagrams of the specification: function, count, address, then the work itself.
 */
export const answerPdu = (bank: RegisterBank, pdu: Uint8Array): Uint8Array => {
  const code = pdu[0] ?? 0;
  const view = new DataView(pdu.buffer, pdu.byteOffset, pdu.byteLength);
  const bitTable = code === FUNCTION.readCoils || code === FUNCTION.readDiscrete;
  if (bitTable || code === FUNCTION.readHolding || code === FUNCTION.readInput) {
    if (pdu.length !== 5) return exception(code, 3);
    const address = view.getUint16(1);
    const count = view.getUint16(3);
    if (!wellCounted(count, bitTable ? LIMITS.readBits : LIMITS.readRegisters)) return exception(code, 3);
    if (!insideSpace(address, count)) return exception(code, 2);
    if (code === FUNCTION.readHolding) return withRegisters(code, bank.readHolding(address, count));
    if (code === FUNCTION.readInput) return withRegisters(code, bank.readInput(address, count));
    if (code === FUNCTION.readCoils) return withBits(code, bank.readCoils(address, count));
    return bank.readDiscrete === undefined ? exception(code, 1) : withBits(code, bank.readDiscrete(address, count));
  }
  if (code === FUNCTION.writeCoil) {
    if (pdu.length !== 5) return exception(code, 3);
    const value = view.getUint16(3);
    if (value !== 0xff00 && value !== 0x0000) return exception(code, 3);
    return afterWrite(code, bank.writeCoils(view.getUint16(1), [value === 0xff00]), pdu);
  }
  if (code === FUNCTION.writeRegister) {
    if (pdu.length !== 5) return exception(code, 3);
    return afterWrite(code, bank.writeHolding(view.getUint16(1), registersIn(view, 3, 1)), pdu);
  }
  if (code === FUNCTION.writeCoils || code === FUNCTION.writeRegisters) {
    if (pdu.length < 6) return exception(code, 3);
    const address = view.getUint16(1);
    const count = view.getUint16(3);
    const coils = code === FUNCTION.writeCoils;
    const bytes = coils ? Math.ceil(count / 8) : 2 * count;
    const limit = coils ? LIMITS.writeBits : LIMITS.writeRegisters;
    if (!wellCounted(count, limit) || pdu[5] !== bytes || pdu.length !== 6 + bytes) return exception(code, 3);
    if (!insideSpace(address, count)) return exception(code, 2);
    const taken = coils
      ? bank.writeCoils(
          address,
          Array.from({ length: count }, (_, index) => (((pdu[6 + (index >>> 3)] ?? 0) >>> (index & 7)) & 1) === 1),
        )
      : bank.writeHolding(address, registersIn(view, 6, count));
    return afterWrite(code, taken, pdu.subarray(0, 5));
  }
  if (code === FUNCTION.maskWrite) {
    if (pdu.length !== 7) return exception(code, 3);
    const address = view.getUint16(1);
    const and = view.getUint16(3);
    const or = view.getUint16(5);
    const found = bank.readHolding(address, 1);
    if (!(found instanceof Uint16Array)) return exception(code, found ?? 2);
    const old = found[0] ?? 0;
    return afterWrite(code, bank.writeHolding(address, Uint16Array.of((old & and) | (or & ~and & 0xffff))), pdu);
  }
  if (code === FUNCTION.readWrite) {
    if (pdu.length < 10) return exception(code, 3);
    const readAt = view.getUint16(1);
    const readCount = view.getUint16(3);
    const writeAt = view.getUint16(5);
    const writeCount = view.getUint16(7);
    const counted = wellCounted(readCount, LIMITS.readRegisters) && wellCounted(writeCount, LIMITS.readWriteRegisters);
    if (!counted || pdu[9] !== 2 * writeCount || pdu.length !== 10 + 2 * writeCount) return exception(code, 3);
    if (!insideSpace(readAt, readCount) || !insideSpace(writeAt, writeCount)) return exception(code, 2);
    // The write comes first; a read that would be refused must not leave it done.
    const readable = bank.readHolding(readAt, readCount);
    if (!(readable instanceof Uint16Array)) return exception(code, readable ?? 2);
    const taken = bank.writeHolding(writeAt, registersIn(view, 10, writeCount));
    if (taken !== true) return exception(code, taken === false ? 2 : taken);
    return withRegisters(code, bank.readHolding(readAt, readCount));
  }
  if (code === FUNCTION.encapsulated) {
    return pdu.length === 4 ? identificationAnswer(bank, pdu) : exception(code, 3);
  }
  return exception(code, 1);
};
