/**
 * CRC of the Modbus serial line: polynomial 0x8005 taken least significant bit first (0xA001), start 0xFFFF, no final
 * inversion; on the wire the low byte goes first. Check value: "123456789" gives 0x4B37.
 * Source: MODBUS over Serial Line, Specification and Implementation Guide V1.02, appendix B.
 */
const TABLE: Uint16Array = Uint16Array.from({ length: 256 }, (_, index) => {
  let crc = index;
  for (let bit = 0; bit < 8; bit += 1) crc = (crc & 1) === 1 ? (crc >>> 1) ^ 0xa001 : crc >>> 1;
  return crc;
});

export const crc16 = (bytes: Uint8Array): number => {
  let crc = 0xffff;
  for (const byte of bytes) crc = (crc >>> 8) ^ (TABLE[(crc ^ byte) & 0xff] ?? 0);
  return crc;
};
