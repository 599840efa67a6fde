import { Socket } from "node:net";
import { Kysely, PostgresDialect } from "kysely";
import pg from "pg";
import type { PostgresAddress } from "./postgres-address.ts";
import { passwordFor } from "./postgres-password.ts";
import type { RecordDatabase, RecordTables } from "./tables.ts";

/** How long the server may be silent when it is called, and over one statement, before the line counts as away, ms. */
const CONNECT_ms = 10_000;
const STATEMENT_ms = 60_000;
/** How long the server waits for a bench inside a transaction. */
const SILENCE_ms = 90_000;
/** How long a goodbye may take. */
const CLOSE_ms = 2_000;

export interface SharedDatabase {
  readonly db: RecordDatabase;
  /** Ends all connections, also those whose line is dead. */
  close(): Promise<void>;
}

export interface SharedOptions {
  readonly connections?: number;
  readonly statement_ms?: number | undefined;
}

/** The address with its password, for the driver alone. Throws when the password file is open to others. */
const withPassword = (address: PostgresAddress): string => {
  const url = new URL(address.url);
  url.password = encodeURIComponent(passwordFor(address));
  return url.href;
};

const poolOf = (
  address: PostgresAddress,
  { connections = 2, statement_ms = STATEMENT_ms }: SharedOptions,
  sockets: Set<Socket>,
): pg.Pool => {
  const pool = new pg.Pool({
    connectionString: withPassword(address),
    application_name: "stillpoint",
    connectionTimeoutMillis: CONNECT_ms,
    query_timeout: statement_ms,
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
  // One that breaks in use tells it to the query, and to whoever listens here: without a listener it would end the program.
  pool.on("connect", (client) => client.on("error", () => {}));
  return pool;
};

/** Typed queries over a few connections that are made when they are needed. */
export const openShared = (address: PostgresAddress, options: SharedOptions = {}): SharedDatabase => {
  const sockets = new Set<Socket>();
  const db = new Kysely<RecordTables>({
    dialect: new PostgresDialect({ pool: async () => poolOf(address, options, sockets) }),
  });
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
