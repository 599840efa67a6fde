import type { Kysely } from "kysely";

/**
 * The tables of the record store, alike in SQLite and PostgreSQL: text, whole numbers, doubles; 0 and 1 for yes and no;
 * instants as ISO 8601 text in UTC. What is hashed is text and stays text. A word that is not known is "", where no
 * value can be meant it is null.
 */

/** One event of a run. `body` is the canonical JSON of the recorded event, `hash` the head of the run's chain after it. */
export interface EventsTable {
  readonly run_id: string;
  /** From 1 on, without a gap. */
  readonly seq: number;
  readonly body: string;
  readonly hash: string;
}

/** One entry of a bench's own chain: what happened to the store and which runs are in it. */
export interface BenchLedgerTable {
  readonly bench_id: string;
  /** From 1 on, without a gap. */
  readonly seq: number;
  readonly body: string;
  readonly hash: string;
}

/** One row a finished run, made when it ends and never changed. Everything in it can be worked out again from the events. */
export interface RunsTable {
  readonly run_id: string;
  readonly bench_id: string;
  readonly station: string;
  readonly kind: "calibration" | "examination";
  readonly started_utc: string;
  readonly ended_utc: string;
  readonly ending: string;
  readonly simulated: number;
  readonly operator: string;
  readonly unit_serial: string;
  readonly unit_tag: string;
  readonly unit_model: string;
  readonly unit_maker: string;
  readonly customer: string;
  readonly batch: string;
  readonly verdict_found: string | null;
  readonly verdict_left: string | null;
  /** Of the stage that counts last. */
  readonly verdict: string | null;
  /** Of the stage that counts last, % of output span, without sign. */
  readonly largest_error_percent: number | null;
  /** Day, YYYY-MM-DD. */
  readonly next_due: string | null;
  /** Number of events. */
  readonly events: number;
  /** Head of the run's chain after its last event. */
  readonly head: string;
  readonly software_version: string;
  /** All words of the row in lower case, for searches. */
  readonly search_text: string;
  /** Facts for the history of a unit, JSON. */
  readonly facts: string;
}

export interface ReferencesUsedTable {
  readonly run_id: string;
  readonly role: string;
  readonly serial_number: string;
  readonly certificate_number: string;
  /** Day, YYYY-MM-DD. */
  readonly due: string;
}

/** Lines of the ledger of certificates. */
export interface CertificateActsTable {
  readonly certificates_id: string;
  readonly seq: number;
  readonly number: string;
  readonly act: string;
  readonly run_id: string | null;
  readonly utc: string;
  readonly body: string;
  readonly hash: string;
}

/** Signed heads. `run_id` of a bench's own chain is `ledger:` and the bench's id. */
export interface SignaturesTable {
  readonly run_id: string;
  readonly head: string;
  /** 32 bytes, hexadecimal. */
  readonly public_key: string;
  /** 64 bytes, hexadecimal. */
  readonly signature: string;
  readonly utc: string;
}

/** Runs that the shared database has acknowledged. SQLite only. */
export interface ShippedTable {
  readonly run_id: string;
  readonly utc: string;
}

/** Acts that the shared database has acknowledged. SQLite only. */
export interface ShippedActsTable {
  readonly certificates_id: string;
  readonly seq: number;
  readonly utc: string;
}

export interface RecordTables {
  readonly events: EventsTable;
  readonly bench_ledger: BenchLedgerTable;
  readonly runs: RunsTable;
  readonly references_used: ReferencesUsedTable;
  readonly certificate_acts: CertificateActsTable;
  readonly signatures: SignaturesTable;
  readonly shipped: ShippedTable;
  readonly shipped_acts: ShippedActsTable;
}

/** Either database. */
export type RecordDatabase = Kysely<RecordTables>;
