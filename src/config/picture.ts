import { err, ok, type Result } from "../vocabulary/result.ts";

/** A picture that the certificate can carry as it is: seen by its first bytes, whatever the file is called. */
export interface Picture {
  readonly kind: "png" | "jpeg";
  readonly width: number;
  readonly height: number;
  /** Its packed rows (zlib), for whoever can unpack them; PNG only. */
  readonly packed?: Uint8Array;
}

const PNG = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** More than any letterhead needs; the record keeps every byte of it. */
const MOST_PICTURE_BYTES = 1_000_000;

const word = (bytes: Uint8Array, at: number, length: 2 | 4): number => {
  let value = 0;
  for (let i = 0; i < length; i += 1) value = value * 256 + (bytes[at + i] ?? 0);
  return value;
};

const name = (bytes: Uint8Array, at: number): string => String.fromCharCode(...bytes.subarray(at, at + 4));

/** PNG (W3C recommendation): chunks up to the end mark. A transparent one would need a soft mask, which an archive file avoids. */
const readPng = (bytes: Uint8Array): Result<Picture, string> => {
  if (name(bytes, 12) !== "IHDR") return err("it has no PNG head");
  const [width, height] = [word(bytes, 16, 4), word(bytes, 20, 4)];
  const depth = bytes[24] ?? 0;
  const colour = bytes[25] ?? 0;
  const data: number[][] = [];
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = word(bytes, at, 4);
    const kind = name(bytes, at + 4);
    if (at + 12 + length > bytes.length) break;
    if (kind === "tRNS") return err("it is partly transparent; save it on a white ground, without transparency");
    if (kind === "IDAT") data.push([at + 8, at + 8 + length]);
    if (kind === "IEND") {
      if (data.length === 0 || width === 0 || height === 0) return err("there is no picture in it");
      if (colour === 4 || colour === 6) {
        return err("it is partly transparent; save it on a white ground, without transparency");
      }
      if (depth === 16) return err("it has 16 bits a colour; save it with 8");
      const packed = new Uint8Array(data.reduce((sum, [from = 0, to = 0]) => sum + to - from, 0));
      let end = 0;
      for (const [from = 0, to = 0] of data) {
        packed.set(bytes.subarray(from, to), end);
        end += to - from;
      }
      return ok({ kind: "png", width, height, packed });
    }
    at += 12 + length;
  }
  return err("it breaks off before its end");
};

/** JPEG (ITU-T T.81): segments up to the frame that gives the size. */
const readJpeg = (bytes: Uint8Array): Result<Picture, string> => {
  for (let at = 2; at + 9 < bytes.length; ) {
    if (bytes[at] !== 0xff) break;
    const marker = bytes[at + 1] ?? 0;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) {
      const parts = bytes[at + 9];
      if (parts !== 1 && parts !== 3) return err("its colours are neither grey nor red, green and blue");
      const ended = bytes.at(-2) === 0xff && bytes.at(-1) === 0xd9;
      if (!ended) return err("it breaks off before its end");
      return ok({ kind: "jpeg", width: word(bytes, at + 7, 2), height: word(bytes, at + 5, 2) });
    }
    at += 2 + word(bytes, at + 2, 2);
  }
  return err("it breaks off before its end");
};

/** What kind of picture the bytes are, or why they cannot be printed, as the end of a sentence. */
export const readPicture = (bytes: Uint8Array): Result<Picture, string> => {
  if (bytes.length > MOST_PICTURE_BYTES) {
    return err(`it has ${bytes.length} bytes, more than the ${MOST_PICTURE_BYTES} that a record keeps`);
  }
  if (PNG.every((byte, i) => bytes[i] === byte)) return readPng(bytes);
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return readJpeg(bytes);
  return err("it is neither a PNG nor a JPEG picture");
};
