import type { SelectQueryBuilder } from "kysely";
import type { RecordDatabase, RecordTables } from "../tables.ts";

/** A certificate that was drafted from a run, and how far it came. */
export interface CertificateOfRun {
  readonly certificates_id: string;
  readonly number: string;
  readonly state: "draft" | "reviewed" | "authorised" | "issued" | "withdrawn";
  /** Instant of its last act, UTC. */
  readonly utc: string;
}

const STATE_AFTER: Readonly<Record<string, CertificateOfRun["state"]>> = {
  drafted: "draft",
  reviewed: "reviewed",
  authorised: "authorised",
  issued: "issued",
  withdrawn: "withdrawn",
};

/** Rows that have one column, the ids of runs. */
type RunIds = SelectQueryBuilder<RecordTables, "runs", { run_id: string }>;

/** Certificates by run, of the runs that a query names. One that was drafted again belongs to every run it was drafted from. */
export const certificatesOf = async (
  db: RecordDatabase,
  ids: RunIds,
): Promise<ReadonlyMap<string, readonly CertificateOfRun[]>> => {
  const found = new Map<string, Map<string, CertificateOfRun>>();
  const rows = await db
    .selectFrom("certificate_acts as drafted")
    .innerJoin("certificate_acts as later", (join) =>
      join
        .onRef("later.certificates_id", "=", "drafted.certificates_id")
        .onRef("later.number", "=", "drafted.number")
        .onRef("later.seq", ">=", "drafted.seq"),
    )
    .where("drafted.run_id", "in", ids)
    .where("drafted.act", "=", "drafted")
    .select(["drafted.run_id", "later.certificates_id", "later.number", "later.act", "later.utc"])
    .orderBy("later.certificates_id")
    .orderBy("later.seq")
    .execute();
  for (const { run_id, certificates_id, number, act, utc } of rows) {
    const state = STATE_AFTER[act];
    if (run_id === null || state === undefined) continue;
    const ofRun = found.get(run_id) ?? new Map<string, CertificateOfRun>();
    found.set(run_id, ofRun);
    ofRun.set(JSON.stringify([certificates_id, number]), { certificates_id, number, state, utc });
  }
  return new Map([...found].map(([run_id, certificates]) => [run_id, [...certificates.values()]]));
};
