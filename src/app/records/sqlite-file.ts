import { accessSync, constants } from "node:fs";
import { dirname, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import {
  CompiledQuery,
  type DatabaseConnection,
  type Driver,
  Kysely,
  SqliteAdapter,
  SqliteDialect,
  type SqliteDialectConfig,
  SqliteDriver,
} from "kysely";
import Database from "libsql";
import type { RecordTables } from "./tables.ts";

/** The one place that knows which SQLite binding is used. */
export type SqliteFile = Database.Database;

/** How long a writer waits for another one, ms. */
const BUSY_ms = 5000;

/** Pages are read where the system holds them, without a copy of each: much quicker through a large store, bytes up to 2 GB. */
export const READ_IN_PLACE = "pragma mmap_size = 2147418112";

/** On a disk that cannot be written no log can lie beside the file; it is opened as one that never changes. */
const readable = (path: string): string => {
  try {
    if (path !== ":memory:") accessSync(dirname(resolve(path)), constants.W_OK);
    return path;
  } catch {
    return `${pathToFileURL(path).href}?immutable=1`;
  }
};

/**
 * Opens or creates a database file. Write-ahead log with full synchronisation: a commit that was answered is on the disk.
 * Opened to `read` nothing is ever written. Throws what SQLite throws.
 */
export const openSqlite = (path: string, to: "write" | "read" = "write"): SqliteFile => {
  const file = new Database(to === "read" ? readable(path) : path, { timeout: BUSY_ms });
  try {
    // Cells that do not belong on their page are noticed when they are read.
    const settings = `pragma busy_timeout = ${BUSY_ms}; pragma cell_size_check = on`;
    if (to === "read") file.exec(`${settings}; pragma query_only = on`);
    else {
      file.exec(`${settings}; pragma synchronous = full`);
      file.prepare("pragma journal_mode = wal").all();
    }
  } catch (error) {
    file.close();
    throw error;
  }
  return file;
};

/**
 * Closes a file that was written. What is in its log goes into the file itself first, so that the file can be copied as it
 * is; the binding would only do so when all statements have been collected.
 */
export const closeSqlite = (file: SqliteFile): void => {
  try {
    if (file.open) file.prepare("pragma wal_checkpoint(truncate)").all();
  } catch {
    // Another program reads, or the disk is full: the log is kept and taken in later.
  }
  file.close();
};

/** Schema changes of SQLite do belong to their transaction, so a migration is taken whole or not at all. */
class WholeAdapter extends SqliteAdapter {
  override get supportsTransactionalDdl(): boolean {
    return true;
  }
}

/** Takes the right to write at the beginning of a transaction, where waiting for it is possible. */
class ImmediateDriver extends SqliteDriver implements Driver {
  override async beginTransaction(connection: DatabaseConnection): Promise<void> {
    await connection.executeQuery(CompiledQuery.raw("begin immediate"));
  }
}

class RecordSqliteDialect extends SqliteDialect {
  readonly #config: SqliteDialectConfig;
  constructor(config: SqliteDialectConfig) {
    super(config);
    this.#config = config;
  }
  override createDriver(): Driver {
    return new ImmediateDriver(this.#config);
  }
  override createAdapter(): SqliteAdapter {
    return new WholeAdapter();
  }
}

/** Typed queries over an open file; destroying them closes it. */
export const queriesOver = (file: SqliteFile): Kysely<RecordTables> =>
  new Kysely<RecordTables>({ dialect: new RecordSqliteDialect({ database: file }) });
