import type { Fault } from "../../vocabulary/fault.ts";
import type { PostgresAddress } from "./postgres-address.ts";
import { openShared } from "./postgres-queries.ts";
import { postgresTrouble } from "./postgres-trouble.ts";
import { sendBenchLedgers, sendCertificateActs } from "./ship-chain.ts";
import { readWholeRun, sendRun } from "./ship-run.ts";
import { sendLaterSignatures } from "./ship-signatures.ts";
import type { RecordDatabase } from "./tables.ts";

/** What one pass over the outbox came to. */
export interface Shipped {
  /** Runs that the shared database took now, and those that it had already. */
  readonly sent: number;
  readonly already_there: number;
  /** Finished runs that are still only here. */
  readonly waiting: number;
  readonly ledger_entries: number;
  readonly certificate_acts: number;
  /** Runs and ledgers that were refused, each by name; the others went on. */
  readonly refused: readonly Fault[];
  /** What ended the pass before its time; null when it came to its end. */
  readonly stopped_by: { readonly fault: Fault; readonly passing: boolean } | null;
}

/** Finished runs that the shared database has not acknowledged, or all there are; the oldest first. */
const outbox = async (local: RecordDatabase, everything = false): Promise<readonly string[]> => {
  const finished = local
    .selectFrom("runs")
    .leftJoin("shipped", "shipped.run_id", "runs.run_id")
    .select("runs.run_id")
    .orderBy("runs.started_utc");
  const rows = await (everything ? finished : finished.where("shipped.run_id", "is", null)).execute();
  return rows.map(({ run_id }) => run_id);
};

/** Trouble of this program or of the bench's own database, which the shared one has no part in. */
const isOurs = (error: unknown): boolean =>
  error instanceof TypeError ||
  error instanceof RangeError ||
  (error instanceof Error && "code" in error && String(error.code).startsWith("SQLITE"));

export interface ShipWishes {
  readonly utc: () => string;
  /** Ends the pass between two runs. */
  readonly signal?: AbortSignal | undefined;
  /** Called after each run that the shared database has. */
  readonly onRun?: ((run_id: string) => void) | undefined;
  /** Also what was acknowledged before, as after the shared database was put back from a backup. */
  readonly everything?: boolean | undefined;
  /** How long the server may be silent over one statement, ms. */
  readonly statement_ms?: number | undefined;
}

/**
 * One pass: every finished run that is not acknowledged goes to the shared database, then what is new of the ledgers. A
 * run is noted as shipped only after the shared database has answered; an answer that is lost is made good in the next pass.
 * Throws only what the bench's own database throws.
 */
export const shipStore = async (
  local: RecordDatabase,
  address: PostgresAddress,
  { utc, signal, onRun, statement_ms, everything }: ShipWishes,
): Promise<Shipped> => {
  const shared = openShared(address, { connections: 1, statement_ms });
  const count = { sent: 0, already_there: 0, ledger_entries: 0, certificate_acts: 0 };
  const refused: Fault[] = [];
  let stopped_by: Shipped["stopped_by"] = null;

  /**
   * Runs `work`; what the server says to it is kept. Gives false when there is no use in going on: the line is away, or,
   * where `all` hangs on it, this login may not do it.
   */
  const attempt = async (work: () => Promise<Fault | null>, all: boolean): Promise<boolean> => {
    try {
      const f = await work();
      if (f !== null) refused.push(f);
      return true;
    } catch (error) {
      if (isOurs(error)) throw error;
      const trouble = postgresTrouble(error, address.name);
      if (trouble.passing || (all && trouble.fault.kind !== "record")) {
        stopped_by = trouble;
        return false;
      }
      refused.push(trouble.fault);
      return true;
    }
  };

  const ship = (run_id: string, note: (run_id: string) => Promise<void>) => async (): Promise<Fault | null> => {
    const whole = await readWholeRun(local, run_id);
    if (!whole.ok) return whole.fault;
    const sent = await sendRun(shared.db, whole.value);
    if (!sent.ok) return sent.fault;
    await note(run_id);
    if (sent.value === "sent") count.sent += 1;
    else count.already_there += 1;
    onRun?.(run_id);
    return null;
  };
  const note = async (run_id: string): Promise<void> => {
    await local
      .insertInto("shipped")
      .values({ run_id, utc: utc() })
      .onConflict((c) => c.doNothing())
      .execute();
  };

  try {
    for (const run_id of await outbox(local, everything)) {
      if (signal?.aborted) break;
      if (!(await attempt(ship(run_id, note), true))) break;
    }
    const rest: readonly (() => Promise<Fault | null>)[] = [
      async () => {
        const entries = await sendBenchLedgers(local, shared.db);
        if (entries.ok) count.ledger_entries = entries.value;
        return entries.ok ? null : entries.fault;
      },
      async () => {
        const acts = await sendCertificateActs(local, shared.db, { utc: utc(), everything });
        if (acts.ok) count.certificate_acts = acts.value;
        return acts.ok ? null : acts.fault;
      },
      async () => {
        await sendLaterSignatures(local, shared.db);
        return null;
      },
    ];
    for (const work of rest) {
      if (stopped_by !== null || signal?.aborted || !(await attempt(work, false))) break;
    }
  } finally {
    await shared.close();
  }
  return { ...count, waiting: (await outbox(local)).length, refused, stopped_by };
};
