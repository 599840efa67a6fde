import type { Fault } from "../vocabulary/fault.ts";
import type { Second } from "../vocabulary/quantities.ts";
import type { Result } from "../vocabulary/result.ts";

/**
 * A link is one physical port or socket with one owner. It may carry several instruments; they take turns, and one
 * request is in flight at a time.
 *
 * Obligations:
 * - every request settles by itself, with an answer or a named fault; none rejects, none hangs;
 * - an answer belongs to its own request: after a late, broken or foreign answer the line is kept silent until it has been
 *   quiet for the time given in the bench file and its buffers are empty (serial), or is opened anew (TCP);
 * - when the line is lost everything in flight settles at once with `line-lost`; on `close` with `line-closed`;
 * - a lost line is opened again by itself, with growing pauses; each time the `generation` number grows;
 * - nothing is ever sent twice by the link.
 */
export interface Link {
  readonly name: string;
  /** Opens the line; `cannot-open` when the first attempt fails (the link goes on trying until it is closed). */
  open(): Promise<Result<void, Fault>>;
  /** A place for one instrument that speaks Modbus registers. */
  registers(place: RegisterPlace): RegisterStation;
  /** A place for one instrument that speaks lines of text. */
  lines(place: LinePlace): LineStation;
  counts(): LinkCounts;
  /** May be called at any moment and more than once. */
  close(): Promise<void>;
}

export interface RegisterPlace {
  /** Name in the bench file, for messages. */
  readonly instrument: string;
  /** Unit address: 1 to 247 on a serial line, 0 to 255 over TCP. */
  readonly unit: number;
}

export interface LinePlace {
  readonly instrument: string;
  readonly ends_with: "\n" | "\r" | "\r\n";
  readonly encoding: "ascii" | "latin1";
}

/** What every answer carries: when its last byte arrived on the run's clock, its bytes in hex, and in which era. */
export interface Arrival {
  readonly at_s: Second;
  readonly raw: string;
  readonly generation: number;
}

export type Answer<T> = Promise<Result<T & Arrival, Fault>>;

export interface Station {
  /** Number of the era: it grows whenever the line is lost or given up. What was true before need not hold after. */
  readonly generation: number;
  /** What waits or is in flight for this instrument settles at once with `line-closed`; the link stays open. */
  close(): void;
}

export interface RegisterStation extends Station {
  /** 1 to 125 registers from a PDU address that starts at 0. */
  readRegisters(
    table: "holding" | "input",
    address: number,
    count: number,
  ): Answer<{ readonly registers: readonly number[] }>;
  /** 1 to 2000 bits. */
  readBits(table: "coil" | "discrete", address: number, count: number): Answer<{ readonly bits: readonly boolean[] }>;
  /** Function 16. Good = the instrument repeated address and count; what it holds now has to be read back. */
  writeRegisters(address: number, values: readonly number[]): Answer<unknown>;
  /** Function 5. */
  writeCoil(address: number, on: boolean): Answer<unknown>;
}

export interface LineStation extends Station {
  /** Sends one line and waits for exactly one line; both without their endings. */
  ask(text: string): Answer<{ readonly text: string }>;
  /** Sends one line to which no answer is due. */
  send(text: string): Answer<unknown>;
}

/** What happened on a link since it was made. */
export interface LinkCounts {
  readonly opens: number;
  readonly requests: number;
  readonly answers: number;
  readonly refusals: number;
  readonly silences: number;
  readonly line_errors: number;
  readonly foreign_answers: number;
  readonly losses: number;
  /** Bytes that came when nobody waited for any. */
  readonly stray_bytes: number;
  /** Times the line was kept silent after trouble. */
  readonly quarantines: number;
}
