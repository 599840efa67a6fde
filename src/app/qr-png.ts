import { deflateSync } from "node:zlib";
import { QUIET_ZONE, qrModules } from "../certificate/short-forms/qr-code.ts";
import { crc32 } from "./crc-32.ts";

const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

const chunk = (type: string, data: Uint8Array): Buffer => {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
};

/** The code of a label as a picture of one bit a pixel (PNG, W3C recommendation), with its quiet zone. */
export const qrPng = (text: string, pixels_per_module = 8): Uint8Array => {
  const modules = qrModules(text);
  const side = (modules.length + 2 * QUIET_ZONE) * pixels_per_module;
  const stride = Math.ceil(side / 8);
  const raw = Buffer.alloc((stride + 1) * side);
  for (let y = 0; y < side; y += 1) {
    const row = modules[Math.floor(y / pixels_per_module) - QUIET_ZONE];
    for (let x = 0; x < side; x += 1) {
      const dark = row?.[Math.floor(x / pixels_per_module) - QUIET_ZONE] ?? false;
      const at = y * (stride + 1) + 1 + (x >> 3);
      if (!dark) raw[at] = (raw[at] ?? 0) | (0x80 >> (x & 7));
    }
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(side, 0);
  header.writeUInt32BE(side, 4);
  // One bit, grey, no interlacing.
  header.set([1, 0, 0, 0, 0], 8);
  return Buffer.concat([
    SIGNATURE,
    chunk("IHDR", header),
    chunk("IDAT", deflateSync(raw)),
    chunk("IEND", new Uint8Array()),
  ]);
};
