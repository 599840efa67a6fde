import { deflateSync } from "node:zlib";
import type { BitPicture } from "../certificate/short-forms/label-picture.ts";
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

/** A picture of one bit a pixel (PNG, W3C recommendation) that says how large it is to be printed. */
export const bitPng = ({ width, height, pixels }: BitPicture, dots_a_metre: number): Uint8Array => {
  const stride = Math.ceil(width / 8) + 1;
  const raw = Buffer.alloc(stride * height);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const at = y * stride + 1 + (x >> 3);
      if (pixels[y * width + x] === 0) raw[at] = (raw[at] ?? 0) | (0x80 >> (x & 7));
    }
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  // One bit, grey, no interlacing.
  header.set([1, 0, 0, 0, 0], 8);
  const size = Buffer.alloc(9);
  size.writeUInt32BE(dots_a_metre, 0);
  size.writeUInt32BE(dots_a_metre, 4);
  size[8] = 1;
  return Buffer.concat([
    SIGNATURE,
    chunk("IHDR", header),
    chunk("pHYs", size),
    chunk("IDAT", deflateSync(raw)),
    chunk("IEND", new Uint8Array()),
  ]);
};
