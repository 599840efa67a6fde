import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { EMPTY_HEAD, nextHead } from "../hash-chain.ts";
import { inPieces } from "./ship-run.ts";
import type { BenchLedgerTable, CertificateActsTable, RecordDatabase } from "./tables.ts";

/** Ledgers, that of the bench and those of certificates: chains that only grow, so what is missing is their end. */

interface Link {
  readonly seq: number;
  readonly body: string;
  readonly hash: string;
}

interface Ledger<T extends Link> {
  /** For messages. */
  readonly name: string;
  /** The last link that the shared database has. */
  readonly there: () => Promise<Link | undefined>;
  readonly here: (seq: number) => Promise<Link | undefined>;
  readonly after: (seq: number) => Promise<readonly T[]>;
  readonly insert: (rows: readonly T[]) => Promise<unknown>;
}

const another = (name: string, seq: number): Fault =>
  fault("record", "record-damaged", `Entry ${seq} of ${name} is another in the shared database than here.`, {
    means: "The ledger was changed, or was put back from a backup. Nothing was written over.",
    remedy: "Verify both. After a backup was put back, begin a new store for this bench.",
  });

const broken = (name: string, seq: number): Fault =>
  fault("record", "record-damaged", `Entry ${seq} of ${name} does not fit its digest on this bench.`, {
    means: "It is not sent, and nothing after it.",
    remedy: "Verify the records of this bench.",
  });

/** Sends the end that is missing; gives how many links. */
const sendEnd = async <T extends Link>({
  name,
  there,
  here,
  after,
  insert,
}: Ledger<T>): Promise<Result<number, Fault>> => {
  const last = await there();
  if (last !== undefined && (await here(last.seq))?.hash !== last.hash) return err(another(name, last.seq));
  const rows = await after(last?.seq ?? -1);
  let head = last?.hash ?? EMPTY_HEAD;
  for (const { seq, body, hash } of rows) {
    head = nextHead(head, body);
    if (head !== hash) return err(broken(name, seq));
  }
  for (const piece of inPieces(rows)) await insert(piece);
  return ok(rows.length);
};

const benchLedger = (local: RecordDatabase, shared: RecordDatabase, bench_id: string): Ledger<BenchLedgerTable> => {
  const of = (db: RecordDatabase) => db.selectFrom("bench_ledger").selectAll().where("bench_id", "=", bench_id);
  return {
    name: `the ledger of bench ${bench_id}`,
    there: () => of(shared).orderBy("seq", "desc").limit(1).executeTakeFirst(),
    here: (seq) => of(local).where("seq", "=", seq).executeTakeFirst(),
    after: (seq) => of(local).where("seq", ">", seq).orderBy("seq").execute(),
    insert: (rows) =>
      shared
        .insertInto("bench_ledger")
        .values(rows)
        .onConflict((c) => c.doNothing())
        .execute(),
  };
};

const certificates = (local: RecordDatabase, shared: RecordDatabase, id: string): Ledger<CertificateActsTable> => {
  const of = (db: RecordDatabase) => db.selectFrom("certificate_acts").selectAll().where("certificates_id", "=", id);
  return {
    name: `the ledger of certificates ${id}`,
    there: () => of(shared).orderBy("seq", "desc").limit(1).executeTakeFirst(),
    here: (seq) => of(local).where("seq", "=", seq).executeTakeFirst(),
    after: (seq) => of(local).where("seq", ">", seq).orderBy("seq").execute(),
    insert: (rows) =>
      shared
        .insertInto("certificate_acts")
        .values(rows)
        .onConflict((c) => c.doNothing())
        .execute(),
  };
};

/** Sends what is new of the ledgers of the benches in this store. Throws what the databases throw. */
export const sendBenchLedgers = async (
  local: RecordDatabase,
  shared: RecordDatabase,
): Promise<Result<number, Fault>> => {
  const benches = await local.selectFrom("bench_ledger").select("bench_id").distinct().execute();
  let sent = 0;
  for (const { bench_id } of benches) {
    const one = await sendEnd(benchLedger(local, shared, bench_id));
    if (!one.ok) return one;
    sent += one.value;
  }
  return ok(sent);
};

/** The same for the acts on certificates; what was acknowledged is noted with its instant. */
export const sendCertificateActs = async (
  local: RecordDatabase,
  shared: RecordDatabase,
  { utc, everything = false }: { readonly utc: string; readonly everything?: boolean | undefined },
): Promise<Result<number, Fault>> => {
  const acts = local
    .selectFrom("certificate_acts")
    .leftJoin("shipped_acts", (join) =>
      join
        .onRef("shipped_acts.certificates_id", "=", "certificate_acts.certificates_id")
        .onRef("shipped_acts.seq", "=", "certificate_acts.seq"),
    )
    .select(["certificate_acts.certificates_id", "certificate_acts.seq"]);
  const waiting = await (everything ? acts : acts.where("shipped_acts.seq", "is", null)).execute();
  let sent = 0;
  for (const id of new Set(waiting.map(({ certificates_id }) => certificates_id))) {
    const one = await sendEnd(certificates(local, shared, id));
    if (!one.ok) return one;
    sent += one.value;
    const noted = waiting.filter(({ certificates_id }) => certificates_id === id).map((act) => ({ ...act, utc }));
    for (const rows of inPieces(noted)) {
      await local
        .insertInto("shipped_acts")
        .values(rows)
        .onConflict((c) => c.doNothing())
        .execute();
    }
  }
  return ok(sent);
};
