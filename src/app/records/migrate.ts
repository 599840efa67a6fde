import { type Kysely, Migrator, sql } from "kysely";
import { MIGRATIONS } from "./migrations/index.ts";
import { type DialectHelp, dialectHelp, type RecordMigration } from "./migrations/migration.ts";

/**
 * Brings the tables of either database to the version of this program, in one transaction: after a cut in the middle of
 * it they are as before. Gives the names of the steps that were taken. Throws what the database throws, and when the
 * tables were made by a newer program.
 */
export const migrate = async <T>(
  db: Kysely<T>,
  kind: DialectHelp["kind"],
  migrations: readonly RecordMigration[] = MIGRATIONS,
): Promise<readonly string[]> => {
  const help = dialectHelp(kind);
  const steps = migrations.map(({ name, up }, index) => {
    const run = async (inside: Kysely<unknown>): Promise<void> => {
      await up(inside, help);
      if (kind === "sqlite") await sql.raw(`pragma user_version = ${index + 1}`).execute(inside);
    };
    return [name, { up: run }] as const;
  });
  const migrator = new Migrator({ db, provider: { getMigrations: async () => Object.fromEntries(steps) } });
  const { error, results = [] } = await migrator.migrateToLatest();
  if (error !== undefined) throw error;
  return results.filter((r) => r.status === "Success").map((r) => r.migrationName);
};
