import { type AnswerReceiver, foreignAnswer, joinBytes, lineError, MORE, type Received } from "./answer-receiver.ts";

/** How an instrument writes its lines. */
export interface LineFormat {
  readonly ends_with: "\n" | "\r" | "\r\n";
  readonly encoding: "ascii" | "latin1";
}

/** No instrument answers with a longer line; a device that babbles must not fill the memory. */
export const LINE_LIMIT = 4096;

const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;
const TAB = 0x09;

const isEnding = (byte: number): boolean => byte === LINE_FEED || byte === CARRIAGE_RETURN;

const isReadable = (byte: number, encoding: LineFormat["encoding"]): boolean => {
  if (byte === TAB || (byte >= 0x20 && byte <= 0x7e)) return true;
  return encoding === "latin1" && byte >= 0xa0;
};

/** A line as bytes with its ending, or `null` when it holds a character that the encoding does not have. */
export const encodeLine = (text: string, format: LineFormat): Uint8Array | null => {
  const codes = [...text].map((character) => character.codePointAt(0) ?? 0);
  if (!codes.every((code) => code <= 0xff && isReadable(code, format.encoding))) return null;
  return Uint8Array.from([...codes, ...[...format.ends_with].map((character) => character.charCodeAt(0))]);
};

/** Bytes of one line without its ending to text. */
export const decodeLine = (bytes: Uint8Array): string => String.fromCharCode(...bytes);

/**
 * Receives the one line that answers a query; the bytes of the line without its ending are handed on. LF and CR LF are
 * both taken for an ending; CR alone only where the format says so. Lines carry no checksum, so anything that is not
 * exactly one readable line is trouble.
 */
export const lineReceiver = (format: LineFormat): AnswerReceiver => {
  const stop = format.ends_with === "\r" ? CARRIAGE_RETURN : LINE_FEED;
  let buffer: Uint8Array = new Uint8Array(0);

  const judge = (): Received => {
    let from = 0;
    while (from < buffer.length && isEnding(buffer[from] ?? 0)) from += 1;
    const end = buffer.indexOf(stop, from);
    const line = buffer.subarray(from, end < 0 ? buffer.length : end);
    if (line.length > LINE_LIMIT) return lineError(`a line of more than ${LINE_LIMIT} characters came`);
    if (end < 0) return MORE;
    if (!buffer.subarray(end).every(isEnding)) return foreignAnswer("more than one line came");
    const bare = line[line.length - 1] === CARRIAGE_RETURN ? line.subarray(0, -1) : line;
    const bad = bare.findIndex((byte) => !isReadable(byte, format.encoding));
    if (bad >= 0) {
      const hex = (bare[bad] ?? 0).toString(16).padStart(2, "0").toUpperCase();
      return lineError(`the line holds byte ${hex}, which is no ${format.encoding} character`);
    }
    return { kind: "answer", bytes: bare.slice(), stray: 0 };
  };

  return {
    take: (bytes) => {
      buffer = joinBytes(buffer, bytes);
      return judge();
    },
    atDeadline: () =>
      buffer.every(isEnding)
        ? null
        : lineError(`the line is incomplete, ${buffer.length} characters came without an end`),
  };
};
