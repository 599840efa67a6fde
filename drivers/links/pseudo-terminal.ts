import { closeSync, constants, openSync } from "node:fs";
import { createRequire } from "node:module";
import type { ReadStream } from "node:tty";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";

/** A serial line without hardware: a program opens `path` like any serial port, and this side is the instrument. */
export interface PseudoTerminal {
  /** Path of the end that behaves like a serial port, such as `/dev/pts/7`. */
  readonly path: string;
  /** Bytes that were written to the port. One listener; a new one takes the place of the old. */
  onBytes(listener: (bytes: Uint8Array) => void): void;
  write(bytes: Uint8Array): void;
  /** Hangs up, as when an adapter is pulled out. May be called more than once. */
  close(): void;
}

/** The parts of the package's undocumented `open` that are used; its version is pinned for that. */
interface PtyPair {
  readonly _master: ReadStream & { write(bytes: Uint8Array): boolean };
  readonly _slave: ReadStream;
  readonly _pty: string;
}

interface PtyPackage {
  open(options: { readonly encoding: null }): PtyPair;
}

const unavailable = (reason: string): Result<never, Fault> =>
  err(
    fault("refused", "cannot-open", `This system offers no pseudo-terminal: ${reason}.`, {
      remedy: "Use a TCP link, which works on every system.",
    }),
  );

const raw = (path: string): number => openSync(path, constants.O_RDWR | constants.O_NOCTTY);

/** Opens a pair; `cannot-open` on systems that have none (Windows) or where the package has no build. */
export const openPseudoTerminal = (): Result<PseudoTerminal, Fault> => {
  if (process.platform === "win32") return unavailable("Windows has none");
  let pair: PtyPair;
  try {
    const ptys: PtyPackage = createRequire(import.meta.url)("@lydell/node-pty");
    pair = ptys.open({ encoding: null });
  } catch (trouble) {
    return unavailable(trouble instanceof Error ? trouble.message : String(trouble));
  }
  const { _master: master, _slave: slave, _pty: path } = pair;
  // A handle that is never read keeps the line up while nobody has the port open; the package's own reader of that side
  // would swallow what is meant for the port, so it goes.
  let keeper: number | null = raw(path);
  slave.destroy();
  let listener: (bytes: Uint8Array) => void = () => undefined;
  const close = (): void => {
    if (keeper !== null) closeSync(keeper);
    keeper = null;
    master.destroy();
  };
  master.on("data", (bytes: Uint8Array) => listener(bytes));
  master.on("error", close);
  return ok({
    path,
    onBytes: (next) => {
      listener = next;
    },
    write: (bytes) => {
      if (!master.destroyed) master.write(Buffer.from(bytes));
    },
    close,
  });
};
