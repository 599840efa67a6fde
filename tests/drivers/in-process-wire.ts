import type { PipeEvents, Transport } from "../../drivers/links/transport.ts";
import { err, ok } from "../../src/vocabulary/result.ts";

/** A wire inside the process: whatever the harness writes reaches `device`, and the device may say bytes at any time. */
export interface InProcessWire {
  readonly transport: Transport;
  /** Hears the bytes that were written in the opening that is now in force. */
  device: (bytes: Uint8Array) => void;
  /** Bytes from the device; lost when nobody has the wire open. */
  say(bytes: Uint8Array): void;
  /** As `say`, but only if the same opening is still in force as at `era`; a socket keeps its own bytes. */
  sayIn(era: number, bytes: Uint8Array): void;
  readonly era: number;
  readonly opens: number;
  /** Everything that was written, in order. */
  readonly written: readonly Uint8Array[];
  /** The line is gone until `plugIn`. */
  pullOut(reason?: string): void;
  plugIn(): void;
}

export const inProcessWire = (where = "a wire in the process"): InProcessWire => {
  let events: PipeEvents | null = null;
  let plugged = true;
  let opens = 0;
  const written: Uint8Array[] = [];
  const wire: InProcessWire = {
    device: () => undefined,
    get era() {
      return opens;
    },
    get opens() {
      return opens;
    },
    written,
    say: (bytes) => events?.bytes(bytes.slice()),
    sayIn: (era, bytes) => {
      if (era === opens) events?.bytes(bytes.slice());
    },
    pullOut: (reason = "the line was hung up") => {
      plugged = false;
      const told = events;
      events = null;
      told?.closed(reason);
    },
    plugIn: () => {
      plugged = true;
    },
    transport: {
      where,
      open: async (given) => {
        if (!plugged) return err({ reason: "nothing is plugged in" });
        opens += 1;
        events = given;
        return ok({
          write: (bytes) => {
            written.push(bytes.slice());
            if (events === given) wire.device(bytes);
          },
          discard: () => Promise.resolve(),
          close: () => {
            if (events === given) events = null;
            return Promise.resolve();
          },
        });
      },
    },
  };
  return wire;
};
