import { crc16 } from "./crc16.ts";
import { requestPduLength } from "./pdu.ts";

/** A Modbus message without its transport: who is spoken to, and the protocol data unit. */
export interface ModbusMessage {
  readonly unit: number;
  readonly pdu: Uint8Array;
}

export const RTU_FRAME_LIMIT = 256;

export const encodeRtu = ({ unit, pdu }: ModbusMessage): Uint8Array => {
  const frame = new Uint8Array(pdu.length + 3);
  frame[0] = unit;
  frame.set(pdu, 1);
  const crc = crc16(frame.subarray(0, -2));
  frame[frame.length - 2] = crc & 0xff;
  frame[frame.length - 1] = crc >>> 8;
  return frame;
};

export type RtuDecoded =
  | { readonly kind: "message"; readonly message: ModbusMessage }
  | { readonly kind: "bad-crc" }
  | { readonly kind: "too-short" }
  | { readonly kind: "too-long" };

/** One whole frame. The shortest has unit, function and CRC: 4 bytes. */
export const decodeRtu = (frame: Uint8Array): RtuDecoded => {
  if (frame.length < 4) return { kind: "too-short" };
  if (frame.length > RTU_FRAME_LIMIT) return { kind: "too-long" };
  const crc = (frame[frame.length - 2] ?? 0) | ((frame[frame.length - 1] ?? 0) << 8);
  if (crc !== crc16(frame.subarray(0, -2))) return { kind: "bad-crc" };
  return { kind: "message", message: { unit: frame[0] ?? 0, pdu: frame.slice(1, -2) } };
};

/** Length of the request frame that `bytes` begins with; `null` = more bytes needed, `undefined` = cannot be told. */
export const rtuRequestLength = (bytes: Uint8Array): number | null | undefined => {
  if (bytes.length < 2) return null;
  const length = requestPduLength(bytes.subarray(1));
  return typeof length === "number" ? length + 3 : length;
};

/**
 * Time of one character on the wire and the silence that separates frames, both in s. A character has a start bit, the
 * data bits, a parity bit or none, and the stop bits. Above 19200 bit/s the silence is fixed at 1.75 ms.
 * Source: MODBUS over Serial Line V1.02, 2.5.1.1.
 */
export const serialTiming = (line: {
  readonly baud: number;
  readonly data_bits: number;
  readonly parity: "none" | "even" | "odd";
  readonly stop_bits: number;
}): { readonly character_s: number; readonly gap_s: number } => {
  const bits = 1 + line.data_bits + (line.parity === "none" ? 0 : 1) + line.stop_bits;
  const character_s = bits / line.baud;
  return { character_s, gap_s: line.baud > 19200 ? 1.75e-3 : 3.5 * character_s };
};
