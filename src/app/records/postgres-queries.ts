import { Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import type { PostgresAddress } from "./postgres-address.ts";
import type { RecordTables } from "./tables.ts";

/** How long a connection, and one statement, may take before the line counts as away, ms. */
export const CONNECT_ms = 10_000;
const STATEMENT_ms = 120_000;

/** The password comes from PGPASSWORD or the password file (PGPASSFILE), as everything that speaks to PostgreSQL takes it. */
const settingsOf = ({ url }: PostgresAddress): pg.PoolConfig => ({
  connectionString: url,
  application_name: "stillpoint",
  connectionTimeoutMillis: CONNECT_ms,
  query_timeout: STATEMENT_ms,
  keepAlive: true,
});

/** Typed queries over a few connections that are made when they are needed; destroying them closes all. */
export const queriesOverPostgres = (address: PostgresAddress, connections = 2): Kysely<RecordTables> => {
  const pool = new pg.Pool({ ...settingsOf(address), max: connections, idleTimeoutMillis: 0 });
  // A connection that breaks while nobody uses it is no news: the next query tells.
  pool.on("error", () => {});
  return new Kysely<RecordTables>({ dialect: new PostgresDialect({ pool }) });
};
