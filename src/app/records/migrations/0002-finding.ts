import { sql } from "kysely";
import type { RecordMigration } from "./migration.ts";

/** Columns of runs that a search names; the newest run of each comes first. */
const NAMED = ["unit_serial", "unit_tag", "unit_model", "customer", "batch", "operator", "verdict"] as const;

/**
 * Parts of words are found quickly by groups of three letters, for which PostgreSQL has an extension. A server without it,
 * or an owner who may not use it, reads the texts one by one.
 */
const TRIGRAMS = `
do $$ begin
  create extension if not exists pg_trgm;
  create index runs_by_text on runs using gin (search_text gin_trgm_ops);
exception when others then
  raise notice 'no index of parts of words: %', sqlerrm;
end $$`;

/** What makes a search among a million events quick. */
export const finding: RecordMigration = {
  name: "0002-finding",
  up: async (db, { kind }) => {
    for (const column of NAMED) {
      await db.schema.createIndex(`runs_by_${column}`).on("runs").columns([column, "started_utc"]).execute();
    }
    // SQLite reads all texts beside each other, the newest first.
    const time = ["started_utc", "run_id", ...(kind === "sqlite" ? ["search_text"] : [])];
    await db.schema.createIndex("runs_by_started_utc").on("runs").columns(time).execute();
    await db.schema.createIndex("runs_by_next_due").on("runs").columns(["next_due"]).execute();
    // All that the due list needs to know of every run but the last of each unit.
    await sql`create index runs_by_unit on runs
      (unit_serial, unit_model, unit_maker, simulated, started_utc, next_due, run_id)
      where kind = 'calibration' and next_due is not null`.execute(db);
    await db.schema
      .createIndex("references_used_by_serial_number")
      .on("references_used")
      .columns(["serial_number", "due", "run_id"])
      .execute();
    await db.schema
      .createIndex("references_used_by_certificate_number")
      .on("references_used")
      .columns(["certificate_number", "run_id"])
      .execute();
    await db.schema.createIndex("certificate_acts_by_run").on("certificate_acts").columns(["run_id"]).execute();
    await db.schema.createIndex("certificate_acts_by_number").on("certificate_acts").columns(["number"]).execute();
    if (kind === "postgres") await sql.raw(TRIGRAMS).execute(db);
  },
};
