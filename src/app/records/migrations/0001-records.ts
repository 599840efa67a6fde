import type { RecordMigration } from "./migration.ts";

/** The first tables. */
export const firstTables: RecordMigration = {
  name: "0001-records",
  up: async (db, { kind, integer, double, text, keyed, addOnly }) => {
    const table = (name: string) => keyed(db.schema.createTable(name));

    await table("events")
      .addColumn("run_id", text, (c) => c.notNull())
      .addColumn("seq", integer, (c) => c.notNull())
      .addColumn("body", text, (c) => c.notNull())
      .addColumn("hash", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("events_key", ["run_id", "seq"])
      .execute();

    await table("bench_ledger")
      .addColumn("bench_id", text, (c) => c.notNull())
      .addColumn("seq", integer, (c) => c.notNull())
      .addColumn("body", text, (c) => c.notNull())
      .addColumn("hash", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("bench_ledger_key", ["bench_id", "seq"])
      .execute();

    await table("runs")
      .addColumn("run_id", text, (c) => c.notNull())
      .addColumn("bench_id", text, (c) => c.notNull())
      .addColumn("station", text, (c) => c.notNull())
      .addColumn("kind", text, (c) => c.notNull())
      .addColumn("started_utc", text, (c) => c.notNull())
      .addColumn("ended_utc", text, (c) => c.notNull())
      .addColumn("ending", text, (c) => c.notNull())
      .addColumn("simulated", integer, (c) => c.notNull())
      .addColumn("operator", text, (c) => c.notNull())
      .addColumn("unit_serial", text, (c) => c.notNull())
      .addColumn("unit_tag", text, (c) => c.notNull())
      .addColumn("unit_model", text, (c) => c.notNull())
      .addColumn("unit_maker", text, (c) => c.notNull())
      .addColumn("customer", text, (c) => c.notNull())
      .addColumn("batch", text, (c) => c.notNull())
      .addColumn("verdict_found", text)
      .addColumn("verdict_left", text)
      .addColumn("verdict", text)
      .addColumn("largest_error_percent", double)
      .addColumn("next_due", text)
      .addColumn("events", integer, (c) => c.notNull())
      .addColumn("head", text, (c) => c.notNull())
      .addColumn("software_version", text, (c) => c.notNull())
      .addColumn("search_text", text, (c) => c.notNull())
      .addColumn("facts", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("runs_key", ["run_id"])
      .execute();

    await table("references_used")
      .addColumn("run_id", text, (c) => c.notNull())
      .addColumn("role", text, (c) => c.notNull())
      .addColumn("serial_number", text, (c) => c.notNull())
      .addColumn("certificate_number", text, (c) => c.notNull())
      .addColumn("due", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("references_used_key", ["run_id", "role", "serial_number"])
      .execute();

    await table("certificate_acts")
      .addColumn("certificates_id", text, (c) => c.notNull())
      .addColumn("seq", integer, (c) => c.notNull())
      .addColumn("number", text, (c) => c.notNull())
      .addColumn("act", text, (c) => c.notNull())
      .addColumn("run_id", text)
      .addColumn("utc", text, (c) => c.notNull())
      .addColumn("body", text, (c) => c.notNull())
      .addColumn("hash", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("certificate_acts_key", ["certificates_id", "seq"])
      .execute();

    await table("signatures")
      .addColumn("run_id", text, (c) => c.notNull())
      .addColumn("head", text, (c) => c.notNull())
      .addColumn("public_key", text, (c) => c.notNull())
      .addColumn("signature", text, (c) => c.notNull())
      .addColumn("utc", text, (c) => c.notNull())
      .addPrimaryKeyConstraint("signatures_key", ["run_id", "head", "public_key"])
      .execute();

    if (kind === "sqlite") {
      await table("shipped")
        .addColumn("run_id", text, (c) => c.notNull())
        .addColumn("utc", text, (c) => c.notNull())
        .addPrimaryKeyConstraint("shipped_key", ["run_id"])
        .execute();
      await table("shipped_acts")
        .addColumn("certificates_id", text, (c) => c.notNull())
        .addColumn("seq", integer, (c) => c.notNull())
        .addColumn("utc", text, (c) => c.notNull())
        .addPrimaryKeyConstraint("shipped_acts_key", ["certificates_id", "seq"])
        .execute();
      await addOnly(db, "shipped");
      await addOnly(db, "shipped_acts");
    }
    await addOnly(db, "events", ["run_id", "seq"]);
    await addOnly(db, "bench_ledger", ["bench_id", "seq"]);
    await addOnly(db, "runs", ["run_id"]);
    await addOnly(db, "references_used");
    await addOnly(db, "certificate_acts");
    await addOnly(db, "signatures");
  },
};
