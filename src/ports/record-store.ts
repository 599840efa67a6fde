import type { Fault } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";

/** How far the chain of a run goes, and the digest over all of it. */
export interface ChainHead {
  readonly events: number;
  /** SHA-256, hexadecimal. */
  readonly head: string;
}

/** Whose chain of the bench a run is entered in, and how that chain stood just before. */
export interface LedgerPlace {
  readonly bench_id: string;
  readonly head: string;
}

/**
 * Takes the events of one run, in order, away from whoever samples.
 * - `append` only queues and never waits; it gives the fault of an earlier write, after which nothing more is written;
 * - an event is acknowledged by `settled` only when it is on the disk for good;
 * - nothing that was appended is ever changed or taken back.
 */
export interface RunRecorder {
  readonly run_id: string;
  readonly ledger: LedgerPlace;
  /** Canonical JSON (RFC 8785) of one recorded event. */
  append(body: string): Fault | null;
  /** Waits until all that was appended is on the disk. */
  settled(): Promise<Result<ChainHead, Fault>>;
}

/** A run that broke off, to go on with. */
export interface ResumedRecorder extends RunRecorder {
  /** What is kept of it, oldest first. */
  readonly bodies: readonly string[];
}

/**
 * The store of a bench. `Summary` is the row by which a finished run is found, `Key` what its head is signed with.
 * Every call settles with a value or a fault; none rejects.
 */
export interface RecordStore<Summary, Key> {
  readonly place: string;
  readonly bench_id: string;
  /** Enters a new run in the bench's chain, which proves that the store can be written before anything is opened. */
  begin(run: { readonly run_id: string; readonly station: string }): Promise<Result<RunRecorder, Fault>>;
  resume(run_id: string): Promise<Result<ResumedRecorder, Fault>>;
  /** Closes a run for ever. A run without an event has no summary. */
  finish(run_id: string, summary: Summary | null, key?: Key): Promise<Result<ChainHead, Fault>>;
  /** Waits for what is queued. May be called at any moment and more than once. */
  close(): Promise<void>;
}
