import { LIMITS } from "./pdu.ts";
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
  const view = new DataView(frame.buffer);
  view.setUint16(0, transaction);
  view.setUint16(2, 0);
  view.setUint16(4, pdu.length + 1);
  view.setUint8(6, unit);
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
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length >= 4 && view.getUint16(2) !== 0) {
    return { kind: "broken", reason: `protocol number ${view.getUint16(2)}, where 0 is Modbus` };
  }
  if (bytes.length < 6) return { kind: "more" };
  const length = view.getUint16(4);
  if (length < 2 || length > LIMITS.pdu + 1) return { kind: "broken", reason: `a length field of ${length}` };
  if (bytes.length < 6 + length) return { kind: "more" };
  return {
    kind: "message",
    length: 6 + length,
    message: { transaction: view.getUint16(0), unit: view.getUint8(6), pdu: bytes.slice(7, 6 + length) },
  };
};
