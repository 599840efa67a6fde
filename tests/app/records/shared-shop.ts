import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";
import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { migrate } from "../../../src/app/records/migrate.ts";
import { type PostgresAddress, parsePostgresAddress } from "../../../src/app/records/postgres-address.ts";
import { prepareDatabase } from "../../../src/app/records/postgres-prepare.ts";
import { inPieces } from "../../../src/app/records/ship-run.ts";
import { openSqlite, queriesOver } from "../../../src/app/records/sqlite-file.ts";
import type { RecordDatabase } from "../../../src/app/records/tables.ts";
import { must } from "../practice-job.ts";
import { type MadeUpRun, type MadeUpWishes, madeUpRun } from "./made-up-runs.ts";
import type { Cluster } from "./postgres-cluster.ts";

/** A shared database as `prepare-database` leaves it, with the logins of some benches and of a reader. */
export interface SharedShop {
  readonly database: string;
  /** Folder for stores and password files. */
  readonly folder: string;
  address(login: string, port?: number): PostgresAddress;
  password(login: string): string;
  passwordFile(login: string): string;
  /** One statement as a login. */
  as(login: string, sql: string, values?: readonly unknown[]): Promise<readonly Record<string, unknown>[]>;
  remove(): void;
}

export const openShop = async (
  cluster: Cluster,
  database: string,
  logins: { readonly benches: readonly string[]; readonly readers: readonly string[] },
  tablespace?: string,
): Promise<SharedShop> => {
  const folder = mkdtempSync(join(tmpdir(), "stillpoint-shop-"));
  const shop = await cluster.shop(database, tablespace);
  const address = (login: string, port = cluster.port): PostgresAddress =>
    must(parsePostgresAddress(cluster.url(login, database).replace(`:${cluster.port}/`, `:${port}/`)));
  const passwordFile = (login: string): string => join(folder, `${login}.pgpass`);
  const password = (login: string): string =>
    login === shop.owner ? shop.password : (readFileSync(passwordFile(login), "utf8").trim().split(":").at(-1) ?? "");
  await withPassword(shop.password, async () => {
    must(await prepareDatabase(address(shop.owner), { ...logins, passwords: folder }));
  });
  return {
    database,
    folder,
    address,
    password,
    passwordFile,
    as: async (login, sql, values = []) => {
      const client = new pg.Client({
        host: "127.0.0.1",
        port: cluster.port,
        user: login,
        password: password(login),
        database,
      });
      client.on("error", () => {});
      await client.connect();
      try {
        return (await client.query<Record<string, unknown>>(sql, [...values])).rows;
      } finally {
        await client.end();
      }
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
};

/** As with PGPASSWORD set for the program; for tests that run it in this process. */
export const withPassword = async <T>(password: string, work: () => Promise<T>): Promise<T> => {
  const before = process.env["PGPASSWORD"];
  process.env["PGPASSWORD"] = password;
  try {
    return await work();
  } finally {
    if (before === undefined) delete process.env["PGPASSWORD"];
    else process.env["PGPASSWORD"] = before;
  }
};

/** Writes whole runs into either database, past the program that makes them, with a ledger that knows each. */
export const keepMadeUp = async (db: RecordDatabase, made: readonly MadeUpRun[]): Promise<void> => {
  for (const { run, events, references } of made) {
    await db.transaction().execute(async (inside) => {
      await inside.insertInto("runs").values(run).execute();
      for (const rows of inPieces(events)) await inside.insertInto("events").values(rows).execute();
      for (const rows of inPieces(references)) await inside.insertInto("references_used").values(rows).execute();
      const last = await inside
        .selectFrom("bench_ledger")
        .selectAll()
        .where("bench_id", "=", run.bench_id)
        .orderBy("seq", "desc")
        .limit(1)
        .executeTakeFirst();
      const seq = (last?.seq ?? 0) + 1;
      const body = canonicalJson({ seq, entry: { act: "run-closed", run_id: run.run_id, head: run.head } });
      const hash = nextHead(last?.hash ?? EMPTY_HEAD, body);
      await inside.insertInto("bench_ledger").values({ bench_id: run.bench_id, seq, body, hash }).execute();
    });
  }
};

/** A bench's store with made-up runs in it. */
export const madeUpStore = async (
  path: string,
  numbers: readonly number[],
  wishes: MadeUpWishes & { readonly events?: number } = {},
): Promise<{ readonly db: RecordDatabase; readonly runs: readonly MadeUpRun[] }> => {
  const file = openSqlite(path);
  const db = queriesOver(file);
  await migrate(db, "sqlite");
  const runs = numbers.map((n) => madeUpRun(n, wishes.events ?? 8, wishes));
  await keepMadeUp(db, runs);
  return { db, runs };
};
