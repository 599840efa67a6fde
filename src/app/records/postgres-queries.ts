import { Socket } from "node:net";
import { Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import type { PostgresAddress } from "./postgres-address.ts";
import type { RecordDatabase, RecordTables } from "./tables.ts";

/** How long a connection, one statement and a silence inside a transaction may last before the line counts as away, ms. */
const CONNECT_ms = 10_000;
const STATEMENT_ms = 60_000;
const SILENCE_ms = 90_000;
/** How long a goodbye may take. */
const CLOSE_ms = 2_000;

export interface SharedDatabase {
  readonly db: RecordDatabase;
  /** Ends all connections, also those whose line is dead. */
  close(): Promise<void>;
}

/**
 * Typed queries over a few connections that are made when they are needed. The password comes from PGPASSWORD or from the
 * password file (PGPASSFILE), where everything that speaks to PostgreSQL takes it.
 */
export const openShared = ({ url }: PostgresAddress, connections = 2): SharedDatabase => {
  const sockets = new Set<Socket>();
  const pool = new pg.Pool({
    connectionString: url,
    application_name: "stillpoint",
    connectionTimeoutMillis: CONNECT_ms,
    query_timeout: STATEMENT_ms,
    // The server's side: a bench that went away in the middle must not hold what it had begun.
    idle_in_transaction_session_timeout: SILENCE_ms,
    keepAlive: true,
    max: connections,
    idleTimeoutMillis: 0,
    stream: () => {
      const socket = new Socket();
      sockets.add(socket);
      return socket;
    },
  });
  // A connection that breaks while nobody uses it is no news: the next query tells.
  pool.on("error", () => {});
  const db = new Kysely<RecordTables>({ dialect: new PostgresDialect({ pool }) });
  return {
    db,
    close: async () => {
      let late: NodeJS.Timeout | undefined;
      const limit = new Promise<void>((resolve) => {
        late = setTimeout(resolve, CLOSE_ms);
      });
      await Promise.race([db.destroy().catch(() => {}), limit]);
      clearTimeout(late);
      for (const socket of sockets) socket.destroy();
    },
  };
};
