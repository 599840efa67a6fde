import { ORDERS, REGISTERS_OF, type RegisterField, type RegisterOrder } from "../profiles/register-profile.schema.ts";

/** Registers to values and back. Registers are 16-bit numbers in the order in which they arrive. */

export const lengthOf = (field: Pick<RegisterField, "type" | "registers">): number =>
  field.registers ?? REGISTERS_OF[field.type] ?? 1;

const swapBytes = (word: number): number => ((word & 0xff) << 8) | (word >>> 8);

/**
 * To high word first, high byte first, and back: each order is its own reverse. ABCD as it is; CDAB words reversed;
 * BADC bytes of each word swapped; DCBA both. A 64-bit value follows the same rule over its four words.
 */
const inOrder = (words: readonly number[], order: RegisterOrder): readonly number[] => {
  const turned = order === "CDAB" || order === "DCBA" ? words.toReversed() : words;
  return order === "BADC" || order === "DCBA" ? turned.map(swapBytes) : turned;
};

/** A text in registers: high byte first, padded with NUL or blanks. */
const textOf = (words: readonly number[]): string => {
  const bytes = words.flatMap((word) => [word >>> 8, word & 0xff]);
  const end = bytes.indexOf(0);
  return String.fromCharCode(...(end < 0 ? bytes : bytes.slice(0, end))).trim();
};

export const decodeText = (words: readonly number[], order: RegisterOrder): string =>
  // Only the order of bytes in a word concerns a text; its words come in reading order.
  textOf(order === "BADC" || order === "DCBA" ? words.map(swapBytes) : words);

/** The number in the registers, before scaling. */
const rawNumber = (words: readonly number[], type: RegisterField["type"], order: RegisterOrder): number => {
  const view = new DataView(new ArrayBuffer(8));
  inOrder(words, order).forEach((word, index) => {
    view.setUint16(2 * index, word);
  });
  switch (type) {
    case "uint16":
      return view.getUint16(0);
    case "int16":
      return view.getInt16(0);
    case "uint32":
      return view.getUint32(0);
    case "int32":
      return view.getInt32(0);
    case "float32":
      return view.getFloat32(0);
    case "float64":
      return view.getFloat64(0);
    case "bool":
    case "text":
      return Number.NaN;
  }
};

/** Value in the field's unit. Not finite when the instrument says so. */
export const decodeNumber = (words: readonly number[], field: RegisterField): number => {
  const raw = rawNumber(words, field.type, field.order);
  return field.scale === 1 && field.offset === 0 ? raw : raw * field.scale + field.offset;
};

/** What the registers would be in the other orders; nothing for a value of one register. */
export const otherOrders = (
  words: readonly number[],
  field: RegisterField,
): readonly { readonly order: RegisterOrder; readonly value: number }[] =>
  words.length < 2 || field.type === "text"
    ? []
    : ORDERS.filter((order) => order !== field.order).map((order) => ({
        order,
        value: decodeNumber(words, { ...field, order }),
      }));

/** The whole number in the registers as it stands, for bits and meanings. */
const decodeWhole = (words: readonly number[], field: RegisterField): number =>
  rawNumber(words, field.type, field.order);

/** What the registers say, as text: a text, a state, a meaning in words, or a number. */
export const shown = (words: readonly number[], field: RegisterField): string => {
  if (field.type === "text") return decodeText(words, field.order);
  if (field.type === "bool") return words[0] === 1 ? "on" : "off";
  if (field.meanings === undefined) return String(decodeNumber(words, field));
  const whole = decodeWhole(words, field);
  return field.meanings[String(whole)] ?? `value ${whole}`;
};

/** Words for the bits that are set. */
export const bitAlarms = (words: readonly number[], field: RegisterField): readonly string[] => {
  const whole = decodeWhole(words, field);
  return Object.entries(field.bits ?? {})
    .filter(([bit]) => Math.floor(whole / 2 ** Number(bit)) % 2 === 1)
    .map(([, text]) => text);
};

const RANGE: Readonly<Partial<Record<RegisterField["type"], readonly [number, number]>>> = {
  uint16: [0, 0xffff],
  int16: [-0x8000, 0x7fff],
  uint32: [0, 0xffffffff],
  int32: [-0x80000000, 0x7fffffff],
};

/** Registers for a value in the field's unit; `null` when the type cannot hold it. */
export const encodeNumber = (value: number, field: RegisterField): readonly number[] | null => {
  const raw = (value - field.offset) / field.scale;
  if (!Number.isFinite(raw)) return null;
  const view = new DataView(new ArrayBuffer(8));
  const range = RANGE[field.type];
  if (range !== undefined) {
    const whole = Math.round(raw);
    if (whole < range[0] || whole > range[1]) return null;
    if (lengthOf(field) === 1) view.setUint16(0, whole & 0xffff);
    else view.setUint32(0, whole >>> 0);
  } else if (field.type === "float32") {
    if (!Number.isFinite(Math.fround(raw))) return null;
    view.setFloat32(0, raw);
  } else if (field.type === "float64") view.setFloat64(0, raw);
  else return null;
  const words = Array.from({ length: lengthOf(field) }, (_, index) => view.getUint16(2 * index));
  return inOrder(words, field.order);
};

/** Half of the smallest step that the registers can show near a value, in the unit; for comparing what was read back. */
export const stepAt = (value: number, field: RegisterField): number => {
  if (field.type === "float32")
    return Math.abs(field.scale) * Math.max(2 ** -126, Math.abs(value / field.scale) * 2 ** -23);
  return field.type === "float64" ? Math.abs(value) * 2 ** -52 : Math.abs(field.scale) / 2;
};
