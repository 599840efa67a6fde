import { statSync } from "node:fs";
import { migrate } from "./migrate.ts";
import { MIGRATIONS } from "./migrations/index.ts";
import { type Finding, finding } from "./proof.ts";
import { openSqlite, queriesOver, type SqliteFile } from "./sqlite-file.ts";

/** The file below the rows: pages that can be read, and tables, indexes and triggers that are ours. */

/** Up to this size every page is compared with every index; beyond it, all but the events, which are hashed anyway. */
const EVERY_PAGE_MB = 64;

const STEPS = "the kinds of tables";

const schemas = new Map<number, Promise<string>>();

const schemaOf = (file: SqliteFile): string =>
  file
    .prepare("select type, name, tbl_name, sql from sqlite_master order by type, name")
    .raw()
    .all()
    .map((row) => JSON.stringify((row as unknown[]).slice(0, 4)))
    .join("\n");

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
  const steps = file.prepare("select name from kysely_migration order by name").all() as { readonly name: string }[];
  const named = MIGRATIONS.slice(0, user_version).map((m) => m.name);
  if (JSON.stringify(steps.map((s) => s.name)) !== JSON.stringify(named)) {
    return [finding("changed", STEPS, "The list of versions that the store went through was changed.")];
  }
  return schemaOf(file) === (await expectedSchema(user_version))
    ? []
    : [finding("changed", STEPS, "A table, an index or a trigger of the store was changed.")];
};

const proveIndexes = (file: SqliteFile, path: string): readonly Finding[] => {
  const tables = file.prepare("select name from sqlite_master where type = 'table'").all() as {
    readonly name: string;
  }[];
  const checks =
    statSync(path).size <= EVERY_PAGE_MB * 1e6
      ? ["pragma integrity_check(1)"]
      : tables.filter(({ name }) => name !== "events").map(({ name }) => `pragma integrity_check('${name}')`);
  for (const check of checks) {
    const { integrity_check: said } = file.prepare(check).get() as { readonly integrity_check: string };
    if (said !== "ok")
      return [finding("unreadable", "the file", `A page is damaged: ${said.replaceAll(/\s+/gu, " ")}.`)];
  }
  return [];
};

/** Throws what SQLite throws. */
export const proveFile = async (file: SqliteFile, path: string): Promise<readonly Finding[]> => [
  ...proveIndexes(file, path),
  ...(await proveTables(file)),
];
