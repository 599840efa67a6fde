import type { Result } from "../../src/vocabulary/result.ts";

/** One open line: bytes out. Whatever goes wrong is told through `closed` of the events, never thrown. */
export interface Pipe {
  write(bytes: Uint8Array): void;
  /** Empties what the system holds for reading. Resolves in the end even when the device is gone. */
  discard(): Promise<void>;
  /** Resolves in the end even when the device is gone. May be called more than once. */
  close(): Promise<void>;
}

export interface PipeEvents {
  bytes(bytes: Uint8Array): void;
  /** The line is gone. Told at most once, and not after `close`. */
  closed(reason: string): void;
}

/** Something that can be opened again and again: a serial port, a socket, a wire inside the process. */
export interface Transport {
  /** For messages, such as `/dev/ttyUSB0, 9600 bit/s 8E1`. */
  readonly where: string;
  /** Never rejects; the fault text says why it could not be opened. */
  open(events: PipeEvents): Promise<Result<Pipe, { readonly reason: string; readonly remedy?: string }>>;
}
