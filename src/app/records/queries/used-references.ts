import type { RecordDatabase } from "../tables.ts";

/** A certificate under which a reference was used. */
export interface UsedReference {
  readonly role: string;
  readonly serial_number: string;
  readonly certificate_number: string;
  /** Day, YYYY-MM-DD. */
  readonly due: string;
  /** Of the last run with it. */
  readonly simulated: number;
}

/** Each certificate of each reference once. Reads an index, and one run a certificate. Throws what the database throws. */
export const usedReferences = (db: RecordDatabase): Promise<readonly UsedReference[]> =>
  db
    .with("used", (inside) =>
      inside
        .selectFrom("references_used")
        .select(({ fn }) => ["serial_number", "certificate_number", "due", "role", fn.max("run_id").as("run_id")])
        .groupBy(["serial_number", "certificate_number", "due", "role"]),
    )
    .selectFrom("used")
    .innerJoin("runs", "runs.run_id", "used.run_id")
    .select(["used.role", "used.serial_number", "used.certificate_number", "used.due", "runs.simulated"])
    .execute();
