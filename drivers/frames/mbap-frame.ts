import { LIMITS, wordAt } from "./pdu.ts";
import type { ModbusMessage } from "./rtu-frame.ts";

/**
 * Modbus over TCP: transaction number, protocol 0, length of what follows, unit, PDU; no checksum.
 * Source: MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 3.1.3.
 */
export interface TcpMessage extends ModbusMessage {
  readonly transaction: number;
}

const MBAP_HEADER_LENGTH = 7;

export const encodeMbap = ({ transaction, unit, pdu }: TcpMessage): Uint8Array => {
  const frame = new Uint8Array(MBAP_HEADER_LENGTH + pdu.length);
  frame[0] = transaction >>> 8;
  frame[1] = transaction & 0xff;
  frame[4] = (pdu.length + 1) >>> 8;
  frame[5] = (pdu.length + 1) & 0xff;
  frame[6] = unit;
  frame.set(pdu, MBAP_HEADER_LENGTH);
  return frame;
};

export type MbapTaken =
  | { readonly kind: "more" }
  | { readonly kind: "message"; readonly message: TcpMessage; readonly length: number }
  /** The byte stream has lost its step; nothing after this point can be trusted. */
  | { readonly kind: "broken"; readonly reason: string };

/** Takes the first message off a byte stream. */
export const takeMbap = (bytes: Uint8Array): MbapTaken => {
  if (bytes.length >= 4 && wordAt(bytes, 2) !== 0) {
    return { kind: "broken", reason: `protocol number ${wordAt(bytes, 2)}, where 0 is Modbus` };
  }
  if (bytes.length < 6) return { kind: "more" };
  const length = wordAt(bytes, 4);
  if (length < 2 || length > LIMITS.pdu + 1) return { kind: "broken", reason: `a length field of ${length}` };
  if (bytes.length < 6 + length) return { kind: "more" };
  return {
    kind: "message",
    length: 6 + length,
    message: { transaction: wordAt(bytes, 0), unit: bytes[6] ?? 0, pdu: bytes.slice(7, 6 + length) },
  };
};
