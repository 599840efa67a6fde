import { inflateSync } from "node:zlib";

/**
 * A reader of PDF objects for tests, written apart from the library that writes them: cross-reference table, numbered
 * objects, values. It knows files with plain tables only, as ours are.
 */
export type PdfValue =
  | number
  | boolean
  | null
  | { readonly name: string }
  | { readonly text: Uint8Array }
  | { readonly to: number }
  | readonly PdfValue[]
  | PdfDictionary;
export interface PdfDictionary {
  readonly entries: ReadonlyMap<string, PdfValue>;
}
export interface PdfObject {
  readonly value: PdfValue;
  /** As stored. */
  readonly stream: Uint8Array | null;
}
export interface PdfFile {
  readonly bytes: Uint8Array;
  readonly trailer: PdfDictionary;
  readonly objects: ReadonlyMap<number, PdfObject>;
}

const latin = (bytes: Uint8Array): string => Buffer.from(bytes).toString("latin1");
const SPACE = /[\0\t\n\f\r ]/;
const REGULAR = /[^\0\t\n\f\r ()<>[\]{}/%]/;
const ESCAPES: Readonly<Record<string, string>> = { n: "\n", r: "\r", t: "\t", b: "\b", f: "\f" };

const createReader = (source: string, start: number) => {
  let i = start;
  const blanks = (): void => {
    while (SPACE.test(source[i] ?? "") || source[i] === "%") {
      if (source[i] === "%") while (!/[\r\n]/.test(source[i] ?? "\n")) i += 1;
      else i += 1;
    }
  };
  const word = (): string => {
    const from = i;
    while (REGULAR.test(source[i] ?? " ")) i += 1;
    return source.slice(from, i);
  };
  const literal = (): PdfValue => {
    let depth = 1;
    let out = "";
    for (i += 1; depth > 0; i += 1) {
      const c = source[i];
      if (c === undefined) throw new Error("a string has no end");
      if (c === "\\") {
        const octal = /^[0-7]{1,3}/.exec(source.slice(i + 1, i + 4))?.[0];
        if (octal === undefined) {
          i += 1;
          out += ESCAPES[source[i] ?? ""] ?? source[i];
        } else {
          out += String.fromCharCode(Number.parseInt(octal, 8));
          i += octal.length;
        }
        continue;
      }
      if (c === "(") depth += 1;
      if (c === ")") depth -= 1;
      if (depth > 0) out += c;
    }
    return { text: Buffer.from(out, "latin1") };
  };
  const value = (): PdfValue => {
    blanks();
    if (source.startsWith("<<", i)) {
      i += 2;
      const entries = new Map<string, PdfValue>();
      for (blanks(); !source.startsWith(">>", i); blanks()) {
        const key = value();
        if (typeof key !== "object" || key === null || !("name" in key)) throw new Error(`no key at ${i}`);
        entries.set(key.name, value());
      }
      i += 2;
      return { entries };
    }
    if (source[i] === "[") {
      i += 1;
      const items: PdfValue[] = [];
      for (blanks(); source[i] !== "]"; blanks()) items.push(value());
      i += 1;
      return items;
    }
    if (source[i] === "(") return literal();
    if (source[i] === "<") {
      const end = source.indexOf(">", i);
      const hex = source.slice(i + 1, end).replaceAll(/\s/g, "");
      i = end + 1;
      return { text: Buffer.from(hex.length % 2 === 0 ? hex : `${hex}0`, "hex") };
    }
    if (source[i] === "/") {
      i += 1;
      return {
        name: word().replaceAll(/#([0-9a-fA-F]{2})/g, (_, h: string) => String.fromCharCode(Number.parseInt(h, 16))),
      };
    }
    const reference = /^(\d+)\s+\d+\s+R\b/.exec(source.slice(i, i + 24));
    if (reference !== null) {
      i += reference[0].length;
      return { to: Number(reference[1]) };
    }
    const text = word();
    if (text === "true" || text === "false") return text === "true";
    if (text === "null") return null;
    if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(text)) throw new Error(`"${text}" at ${i} is no value`);
    return Number(text);
  };
  return { value, at: () => i, blanks };
};

export const isDictionary = (v: PdfValue | undefined): v is PdfDictionary =>
  typeof v === "object" && v !== null && "entries" in v;

export const readPdf = (bytes: Uint8Array): PdfFile => {
  const source = latin(bytes);
  const start = Number(/startxref\s+(\d+)\s+%%EOF\s*$/.exec(source)?.[1]);
  if (!source.startsWith("xref", start)) throw new Error("no cross-reference table where it should be");
  const head = /^xref\s+0\s+(\d+)\s+/.exec(source.slice(start, start + 40));
  const count = Number(head?.[1]);
  const from = start + (head?.[0].length ?? 0);
  const objects = new Map<number, PdfObject>();
  for (let n = 1; n < count; n += 1) {
    const entry = source.slice(from + 20 * n, from + 20 * n + 20);
    const match = /^(\d{10}) \d{5} n[ \r][\r\n]$/.exec(entry);
    if (match === null) throw new Error(`entry ${n} of the table is "${entry}"`);
    const begin = Number(match[1]);
    const opening = new RegExp(`^${n} 0 obj\\s`).exec(source.slice(begin, begin + 24));
    if (opening === null) throw new Error(`object ${n} is not where the table says`);
    const reader = createReader(source, begin + opening[0].length);
    const value = reader.value();
    reader.blanks();
    let stream: Uint8Array | null = null;
    if (source.startsWith("stream", reader.at())) {
      const length = isDictionary(value) ? value.entries.get("Length") : undefined;
      const data = reader.at() + (/^stream(\r\n|\n)/.exec(source.slice(reader.at(), reader.at() + 8))?.[0].length ?? 0);
      stream = bytes.subarray(data, data + Number(length));
      if (!/^\r?\n?endstream/.test(source.slice(data + Number(length), data + Number(length) + 12))) {
        throw new Error(`the stream of object ${n} does not end where its length says`);
      }
    }
    objects.set(n, { value, stream });
  }
  const trailer = createReader(source, source.indexOf("trailer", from + 20 * count) + "trailer".length).value();
  if (!isDictionary(trailer)) throw new Error("no trailer");
  return { bytes, trailer, objects };
};

/** Follows references. */
export const resolved = (file: PdfFile, value: PdfValue | undefined): PdfValue => {
  if (typeof value === "object" && value !== null && "to" in value) return file.objects.get(value.to)?.value ?? null;
  return value ?? null;
};

export const objectOf = (file: PdfFile, value: PdfValue | undefined): PdfObject => {
  const found = typeof value === "object" && value !== null && "to" in value ? file.objects.get(value.to) : undefined;
  if (found === undefined) throw new Error("no such object");
  return found;
};

/** The dictionary at the end of these keys. */
export const dictionary = (file: PdfFile, from: PdfValue, ...keys: readonly string[]): PdfDictionary => {
  const here = resolved(file, from);
  if (!isDictionary(here)) throw new Error(`no dictionary before ${keys.join("/")}`);
  const [key, ...rest] = keys;
  return key === undefined ? here : dictionary(file, here.entries.get(key) ?? null, ...rest);
};

export const nameOf = (value: PdfValue | undefined): string | null =>
  typeof value === "object" && value !== null && "name" in value ? value.name : null;

/** A text string: UTF-16 with its mark, or Latin letters. */
export const textOf = (value: PdfValue | undefined): string | null => {
  if (typeof value !== "object" || value === null || !("text" in value)) return null;
  const bytes = Buffer.from(value.text);
  if (bytes[0] !== 0xfe || bytes[1] !== 0xff) return bytes.toString("latin1");
  return Buffer.from(bytes.subarray(2)).swap16().toString("utf16le");
};

export const streamBytes = ({ value, stream }: PdfObject): Uint8Array => {
  if (stream === null) throw new Error("no stream");
  const filter = isDictionary(value) ? value.entries.get("Filter") : undefined;
  if (filter === undefined) return stream;
  if (nameOf(filter) !== "FlateDecode") throw new Error("another filter than FlateDecode");
  return new Uint8Array(inflateSync(stream));
};

/** Every dictionary in the file, also those inside others. */
export const everyDictionary = (file: PdfFile): readonly PdfDictionary[] => {
  const found: PdfDictionary[] = [];
  const look = (value: PdfValue): void => {
    if (Array.isArray(value)) for (const item of value as readonly PdfValue[]) look(item);
    else if (isDictionary(value)) {
      found.push(value);
      for (const inner of value.entries.values()) look(inner);
    }
  };
  for (const { value } of file.objects.values()) look(value);
  return found;
};
