import { statSync } from "node:fs";
import { migrate } from "./migrate.ts";
import { MIGRATIONS } from "./migrations/index.ts";
import { type Finding, finding } from "./proof.ts";
import { safeRows } from "./safe-rows.ts";
import { openSqlite, queriesOver, type SqliteFile } from "./sqlite-file.ts";

/** The file below the rows: pages that can be read, and tables, indexes and triggers that are ours. */

/** Up to this size every page is compared with every index; beyond it, all but the events, which are hashed anyway. */
const EVERY_PAGE_MB = 64;

const STEPS = "the kinds of tables";

const schemas = new Map<number, Promise<string>>();

const SCHEMA_ROW = { type: "text", name: "text", tbl_name: "text", sql: "text" } as const;

const schemaOf = (file: SqliteFile): string =>
  JSON.stringify(safeRows(file, "sqlite_master", SCHEMA_ROW, "order by type, name"));

/** What the tables of a version look like. */
const expectedSchema = (version: number): Promise<string> => {
  const known = schemas.get(version);
  if (known !== undefined) return known;
  const made = (async () => {
    const file = openSqlite(":memory:");
    await migrate(queriesOver(file), "sqlite", MIGRATIONS.slice(0, version));
    const schema = schemaOf(file);
    file.close();
    return schema;
  })();
  schemas.set(version, made);
  return made;
};

const proveTables = async (file: SqliteFile): Promise<readonly Finding[]> => {
  const { user_version } = file.prepare("pragma user_version").get() as { readonly user_version: number };
  if (user_version < 1 || user_version > MIGRATIONS.length) {
    return [
      finding(
        "changed",
        STEPS,
        `The store says it is of version ${user_version}; this program knows 1 to ${MIGRATIONS.length}.`,
      ),
    ];
  }
  const steps = safeRows<{ readonly name: string }>(file, "kysely_migration", { name: "text" }, "order by name");
  const named = MIGRATIONS.slice(0, user_version).map((m) => m.name);
  if (JSON.stringify(steps.map((s) => s.name)) !== JSON.stringify(named)) {
    return [finding("changed", STEPS, "The list of versions that the store went through was changed.")];
  }
  return schemaOf(file) === (await expectedSchema(user_version))
    ? []
    : [finding("changed", STEPS, "A table, an index or a trigger of the store was changed.")];
};

const proveIndexes = (file: SqliteFile, path: string): readonly Finding[] => {
  const tables = safeRows<{ readonly name: string }>(file, "sqlite_master", { name: "text" }, "where type = 'table'");
  const whats =
    statSync(path).size <= EVERY_PAGE_MB * 1e6
      ? ["1"]
      : tables.filter(({ name }) => name !== "events").map(({ name }) => `'${name.replaceAll("'", "''")}'`);
  for (const what of whats) {
    const [said] = safeRows<{ readonly integrity_check: string }>(
      file,
      `pragma_integrity_check(${what})`,
      { integrity_check: "text" },
      "limit 1",
    );
    if (said?.integrity_check !== "ok") {
      const text = `A page is damaged: ${said?.integrity_check.replaceAll(/\s+/gu, " ")}.`;
      return [finding("unreadable", "the file", text)];
    }
  }
  return [];
};

/** Throws what SQLite throws. */
export const proveFile = async (file: SqliteFile, path: string): Promise<readonly Finding[]> => [
  ...(await proveTables(file)),
  ...proveIndexes(file, path),
];
