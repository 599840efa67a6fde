import { inflateSync } from "node:zlib";

/**
 * The files inside a certificate as this program writes it (numbered objects in plain sight). Of a PDF that another
 * program has written anew nothing is found, and that is said.
 */
export const attachedFiles = (pdf: Uint8Array): ReadonlyMap<string, Uint8Array> => {
  const source = Buffer.from(pdf.buffer, pdf.byteOffset, pdf.byteLength);
  const text = source.toString("latin1");
  const files = new Map<string, Uint8Array>();
  // A number is looked for at its first digit only: the room of a signature is one run of thousands of digits.
  for (const spec of text.matchAll(
    /(?<!\d)\d{1,10} 0 obj\s*<<(?:(?!endobj)[\s\S])*?\/Type \/Filespec(?:(?!endobj)[\s\S])*?endobj/g,
  )) {
    const name = /\/F \(((?:[^()\\])*)\)/.exec(spec[0])?.[1];
    const number = /\/EF <<\s*\/F (\d+) 0 R/.exec(spec[0])?.[1];
    if (name === undefined || number === undefined) continue;
    const object = new RegExp(`(?:^|\\n)${number} 0 obj\\s*<<((?:(?!endobj)[\\s\\S])*?)>>\\s*stream\\r?\\n`).exec(text);
    const length = /\/Length (\d+)/.exec(object?.[1] ?? "")?.[1];
    if (object === null || length === undefined) continue;
    const from = object.index + object[0].length;
    const stored = source.subarray(from, from + Number(length));
    try {
      files.set(name, /\/Filter \/FlateDecode/.test(object[1] ?? "") ? inflateSync(stored) : stored);
    } catch {
      // A stream that cannot be opened was changed; the file counts as not there.
    }
  }
  return files;
};
