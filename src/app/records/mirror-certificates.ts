import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { canonicalJson } from "../canonical-json.ts";
import type { Ledger } from "../certificate-ledger.ts";
import { folderStore } from "../certificate-store.ts";
import { inPieces } from "./ship-run.ts";
import type { CertificateActsTable, RecordDatabase } from "./tables.ts";

/** Of the first head: a ledger keeps it for ever, and no two ledgers share it. */
const ID_DIGITS = 16;

/** The lines of a ledger of certificates as rows; every act carries the run that its draft was made from. */
const rowsOf = ({ entries, heads }: Ledger): readonly CertificateActsTable[] => {
  const certificates_id = heads[0]?.slice(0, ID_DIGITS) ?? "";
  return entries.map((line, i) => {
    const { entry, seq, utc } = line;
    const draft = "drafted" in entry ? entries[entry.drafted]?.entry : entry;
    const own = draft?.act === "drafted" ? draft.run_id : null;
    const earlier = entries.findLast(
      (e) => e.seq < seq && e.entry.act === "drafted" && e.entry.number === entry.number,
    );
    const run_id = own ?? (earlier?.entry.act === "drafted" ? earlier.entry.run_id : null);
    const hash = heads[i] ?? "";
    return { certificates_id, seq, number: entry.number, act: entry.act, run_id, utc, body: canonicalJson(line), hash };
  });
};

/**
 * Brings the acts on certificates, which lie in a folder of their own, into the records, so that a run leads to its
 * certificates and both go to the shared database. Gives how many are new. Throws what the database throws.
 */
export const mirrorCertificates = async (local: RecordDatabase, folder: string): Promise<Result<number, Fault>> => {
  const ledger = folderStore(folder).ledger();
  if (!ledger.ok) return ledger;
  const rows = rowsOf(ledger.value);
  const id = rows[0]?.certificates_id;
  if (id === undefined) return ok(0);
  const last = await local
    .selectFrom("certificate_acts")
    .select(["seq", "hash"])
    .where("certificates_id", "=", id)
    .orderBy("seq", "desc")
    .limit(1)
    .executeTakeFirst();
  if (last !== undefined && rows[last.seq]?.hash !== last.hash) {
    return err(
      fault("record", "record-damaged", `The ledger in ${folder} is not the one that the records have known so far.`, {
        means: `Up to act ${last.seq} it was another. Nothing of it is taken over.`,
        remedy: "It was changed, or put back from an older backup: fetch the latest one.",
      }),
    );
  }
  const fresh = rows.slice((last?.seq ?? -1) + 1);
  for (const piece of inPieces(fresh)) {
    await local
      .insertInto("certificate_acts")
      .values(piece)
      .onConflict((c) => c.doNothing())
      .execute();
  }
  return ok(fresh.length);
};
