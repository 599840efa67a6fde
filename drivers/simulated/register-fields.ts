import type { ExceptionCode } from "../frames/pdu.ts";
import type { Refusal, RegisterBank } from "../frames/register-slave.ts";

/** One named value in a table of registers. `accepts` is asked for every value of a write before any `write` is done. */
export interface RegisterField {
  readonly address: number;
  readonly length: number;
  read(): readonly number[];
  readonly write?: (registers: readonly number[]) => void;
  readonly accepts?: (registers: readonly number[]) => boolean;
}

export interface CoilField {
  readonly address: number;
  read(): boolean;
  write(on: boolean): void;
}

const view = new DataView(new ArrayBuffer(4));

/** IEEE 754 single, most significant register first. */
export const floatRegisters = (value: number): readonly number[] => {
  view.setFloat32(0, value);
  return [view.getUint16(0), view.getUint16(2)];
};

const floatOf = (registers: readonly number[]): number => {
  view.setUint16(0, registers[0] ?? 0);
  view.setUint16(2, registers[1] ?? 0);
  return view.getFloat32(0);
};

/** ASCII, two characters a register, first one in the high byte, filled up with zeros. */
export const textField = (address: number, length: number, text: string): RegisterField => {
  const registers = Array.from(
    { length },
    (_, i) => (text.charCodeAt(2 * i) || 0) * 256 + (text.charCodeAt(2 * i + 1) || 0),
  );
  return { address, length, read: () => registers };
};

export const floatField = (
  address: number,
  read: () => number,
  write?: (value: number) => void,
  accepts: (value: number) => boolean = Number.isFinite,
): RegisterField => ({
  address,
  length: 2,
  read: () => floatRegisters(read()),
  ...(write === undefined
    ? {}
    : { write: (r: readonly number[]) => write(floatOf(r)), accepts: (r: readonly number[]) => accepts(floatOf(r)) }),
});

export const wordField = (
  address: number,
  read: () => number,
  write?: (value: number) => void,
  accepts: (value: number) => boolean = () => true,
): RegisterField => ({
  address,
  length: 1,
  read: () => [read() & 0xffff],
  ...(write === undefined
    ? {}
    : { write: (r: readonly number[]) => write(r[0] ?? 0), accepts: (r: readonly number[]) => accepts(r[0] ?? 0) }),
});

/** Word of bits, bit 0 first. */
export const bitsField = (address: number, read: () => readonly boolean[]): RegisterField =>
  wordField(address, () => read().reduce((word, bit, i) => word | (bit ? 1 << i : 0), 0));

const fieldAt = (fields: readonly RegisterField[], address: number): RegisterField | undefined =>
  fields.find((field) => address >= field.address && address < field.address + field.length);

/** Each field is read once, so that the two halves of a float belong together. A gap in the map is refused. */
const readFields = (fields: readonly RegisterField[], address: number, count: number): Uint16Array | Refusal => {
  const found = new Uint16Array(count);
  for (let at = address; at < address + count; ) {
    const field = fieldAt(fields, at);
    if (field === undefined) return null;
    const registers = field.read();
    const skip = at - field.address;
    for (let i = skip; i < field.length && at < address + count; i++, at++) found[at - address] = registers[i] ?? 0;
  }
  return found;
};

/** Only whole fields are taken: half a float is no number. */
const writeFields = (
  fields: readonly RegisterField[],
  address: number,
  values: Uint16Array,
): true | false | ExceptionCode => {
  const writes: (() => void)[] = [];
  for (let at = 0; at < values.length; ) {
    const field = fields.find((f) => f.address === address + at);
    if (field?.write === undefined || at + field.length > values.length) return false;
    const registers = [...values.subarray(at, at + field.length)];
    if (field.accepts?.(registers) === false) return 3;
    const { write } = field;
    writes.push(() => write(registers));
    at += field.length;
  }
  for (const write of writes) write();
  return true;
};

export interface BankFields {
  readonly holding: readonly RegisterField[];
  readonly input: readonly RegisterField[];
  readonly coils?: readonly CoilField[];
  readonly identification: NonNullable<RegisterBank["identification"]>;
}

export const bankOf = ({ holding, input, coils = [], identification }: BankFields): RegisterBank => ({
  identification,
  readHolding: (address, count) => readFields(holding, address, count),
  readInput: (address, count) => readFields(input, address, count),
  readCoils: (address, count) => {
    const found = Array.from({ length: count }, (_, i) => coils.find((coil) => coil.address === address + i));
    const bits = found.flatMap((coil) => (coil === undefined ? [] : [coil.read()]));
    return bits.length === count ? bits : null;
  },
  writeHolding: (address, values) => writeFields(holding, address, values),
  writeCoils: (address, values) => {
    const found = values.map((_, i) => coils.find((coil) => coil.address === address + i));
    if (found.includes(undefined)) return false;
    found.forEach((coil, i) => {
      coil?.write(values[i] ?? false);
    });
    return true;
  },
});
