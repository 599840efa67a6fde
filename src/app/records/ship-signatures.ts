import { inPieces } from "./ship-run.ts";
import type { RecordDatabase, SignaturesTable } from "./tables.ts";

/** Signatures that do not travel with their run. Sending one twice does no harm. */

/** Every text from `ledger:` on that begins with it. */
const LEDGERS = { from: "ledger:", to: "ledger;" } as const;

/** Those made after their run was sent. */
const afterTheirRun = (local: RecordDatabase): Promise<readonly SignaturesTable[]> =>
  local
    .selectFrom("signatures")
    .innerJoin("shipped", "shipped.run_id", "signatures.run_id")
    .selectAll("signatures")
    .whereRef("signatures.utc", ">=", "shipped.utc")
    .execute();

/** Those of the bench's own ledgers, from the last one on that is there. */
const ofLedgers = async (local: RecordDatabase, shared: RecordDatabase): Promise<readonly SignaturesTable[]> => {
  const ledgers = await local
    .selectFrom("signatures")
    .select("run_id")
    .distinct()
    .where("run_id", ">=", LEDGERS.from)
    .where("run_id", "<", LEDGERS.to)
    .execute();
  const found: SignaturesTable[] = [];
  for (const { run_id } of ledgers) {
    const last = await shared
      .selectFrom("signatures")
      .select(({ fn }) => fn.max("utc").as("utc"))
      .where("run_id", "=", run_id)
      .executeTakeFirst();
    const rows = local.selectFrom("signatures").selectAll().where("run_id", "=", run_id);
    found.push(...(await rows.where("utc", ">=", last?.utc ?? "").execute()));
  }
  return found;
};

/** Sends both kinds. Throws what the databases throw. */
export const sendLaterSignatures = async (local: RecordDatabase, shared: RecordDatabase): Promise<void> => {
  const rows = [...(await afterTheirRun(local)), ...(await ofLedgers(local, shared))];
  for (const piece of inPieces(rows)) {
    await shared
      .insertInto("signatures")
      .values(piece)
      .onConflict((c) => c.doNothing())
      .execute();
  }
};
