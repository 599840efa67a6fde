import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import type { EventsTable, RecordDatabase, ReferencesUsedTable, RunsTable, SignaturesTable } from "./tables.ts";

/** A finished run with all that belongs to it, as it goes to the shared database. */
export interface WholeRun {
  readonly run: RunsTable;
  readonly events: readonly EventsTable[];
  readonly references: readonly ReferencesUsedTable[];
  readonly signatures: readonly SignaturesTable[];
}

const notWhole = (run_id: string, what: string): Result<never, Fault> =>
  err(
    fault("record", "record-damaged", `Run ${run_id} is not whole: ${what}.`, {
      means: "What is damaged is neither shown nor sent.",
      remedy: "Verify the records that it lies in, and fetch it from a backup.",
    }),
  );

/** First thing that is wrong with the chain of a run; null when it is whole. */
const wrongWith = ({ run, events }: WholeRun): string | null => {
  let head = EMPTY_HEAD;
  let expected = events[0]?.seq ?? 0;
  for (const { seq, body, hash } of events) {
    if (seq !== expected) return `event ${expected} is missing`;
    head = nextHead(head, body);
    if (head !== hash) return `event ${seq} does not fit its digest`;
    expected += 1;
  }
  if (events.length !== run.events) return `${events.length} of ${run.events} events are there`;
  return head === run.head ? null : "the events do not end in the head of the run";
};

/** A finished run from either database, its chain recomputed. Throws what the database throws. */
export const readWholeRun = async (db: RecordDatabase, run_id: string): Promise<Result<WholeRun, Fault>> => {
  const run = await db.selectFrom("runs").selectAll().where("run_id", "=", run_id).executeTakeFirst();
  if (run === undefined) return notWhole(run_id, "its row is missing");
  const whole: WholeRun = {
    run,
    events: await db.selectFrom("events").selectAll().where("run_id", "=", run_id).orderBy("seq").execute(),
    references: await db.selectFrom("references_used").selectAll().where("run_id", "=", run_id).execute(),
    signatures: await db.selectFrom("signatures").selectAll().where("run_id", "=", run_id).execute(),
  };
  const wrong = wrongWith(whole);
  return wrong === null ? ok(whole) : notWhole(run_id, wrong);
};

/** Rows of one statement; the protocol binds at most 65535 values. */
const ROWS_AT_ONCE = 200;

/** Rows in pieces that one statement takes. */
export const inPieces = function* <T>(rows: readonly T[], size = ROWS_AT_ONCE): Generator<readonly T[]> {
  for (let from = 0; from < rows.length; from += size) yield rows.slice(from, from + size);
};

/**
 * Sends a run in one transaction. A run that is there already with the same head is the same run: an answer that was lost
 * on its way back does no harm. One with another head is never touched. Throws what the database throws.
 */
export const sendRun = async (
  shared: RecordDatabase,
  { run, events, references, signatures }: WholeRun,
): Promise<Result<"sent" | "already-there", Fault>> =>
  shared.transaction().execute(async (inside) => {
    const mine = await inside
      .insertInto("runs")
      .values(run)
      .onConflict((c) => c.column("run_id").doNothing())
      .returning("run_id")
      .executeTakeFirst();
    if (mine === undefined) {
      const there = await inside.selectFrom("runs").select("head").where("run_id", "=", run.run_id).executeTakeFirst();
      if (there?.head === run.head) return ok("already-there");
      return err(
        fault("record", "record-damaged", `Run ${run.run_id} is in the shared database with another content.`, {
          means: `There its head is ${there?.head ?? "not to be seen"}, here ${run.head}. Nothing was written over.`,
          remedy: "One of the two was changed, or two benches used one name: verify both before either is trusted.",
        }),
      );
    }
    for (const rows of inPieces(events)) await inside.insertInto("events").values(rows).execute();
    for (const rows of inPieces(references)) await inside.insertInto("references_used").values(rows).execute();
    for (const rows of inPieces(signatures)) {
      await inside
        .insertInto("signatures")
        .values(rows)
        .onConflict((c) => c.doNothing())
        .execute();
    }
    return ok("sent");
  });
