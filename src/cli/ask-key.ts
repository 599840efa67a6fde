import { emitKeypressEvents } from "node:readline";
import type { Streams } from "./streams.ts";

/** Presses nearer together than this count once; a held key repeats nothing. */
const ONCE_MS = 300;

interface RawInput {
  readonly isTTY?: boolean;
  isRaw?: boolean;
  setRawMode?: (raw: boolean) => unknown;
}

/**
 * Waits for one key of those offered (`space`, `n`, ...), as a foot switch or a thumb sends it; nothing has to be
 * confirmed. null when the question is called off, or on Ctrl-C and Ctrl-D, which keep their meaning of stopping.
 * `question`: null where something else on the screen says which keys there are, and nothing is to be written.
 */
export const askKey = (
  streams: Streams,
  question: string | null,
  keys: readonly string[],
  signal?: AbortSignal,
): Promise<string | null> => {
  const { input, talk } = streams;
  const raw = input as RawInput & typeof input;
  return new Promise((resolve) => {
    const was = raw.isRaw ?? false;
    const begun = Date.now();
    emitKeypressEvents(input);
    raw.setRawMode?.(true);
    input.resume();
    if (question !== null) talk.write(question);
    const done = (answer: string | null): void => {
      input.off("keypress", onKey);
      signal?.removeEventListener("abort", onAbort);
      raw.setRawMode?.(was);
      input.pause();
      if (question !== null) talk.write(`${answer ?? ""}\n`);
      resolve(answer);
    };
    const onAbort = (): void => done(null);
    const onKey = (_: string | undefined, key: { readonly name?: string; readonly ctrl?: boolean }): void => {
      const name = key.name === "enter" ? "return" : key.name;
      if (key.ctrl === true && (name === "c" || name === "d")) {
        done(null);
        // In raw mode the terminal no longer turns the key into a signal.
        if (name === "c") process.kill(process.pid, "SIGINT");
        return;
      }
      if (Date.now() - begun < ONCE_MS || name === undefined || !keys.includes(name)) return;
      done(name);
    };
    input.on("keypress", onKey);
    signal?.addEventListener("abort", onAbort, { once: true });
  });
};
