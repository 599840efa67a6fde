import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { migrate } from "../../../../src/app/records/migrate.ts";
import { openShared } from "../../../../src/app/records/postgres-queries.ts";
import { openSqlite, queriesOver } from "../../../../src/app/records/sqlite-file.ts";
import type { RecordDatabase } from "../../../../src/app/records/tables.ts";
import { type Cluster, startCluster } from "../postgres-cluster.ts";
import { openShop, type SharedShop } from "../shared-shop.ts";

export const KINDS = ["SQLite", "PostgreSQL (needs a server: initdb, postgres)"] as const;

/** One database of a kind, empty, and how to read it as somebody who may read only. */
export interface EitherDatabase {
  readonly writing: RecordDatabase;
  readonly reading: RecordDatabase;
  remove(): Promise<void>;
}

const sqlite = async (): Promise<EitherDatabase> => {
  const folder = mkdtempSync(join(tmpdir(), "stillpoint-queries-"));
  const path = join(folder, "records.sqlite");
  const writing = queriesOver(openSqlite(path));
  await migrate(writing, "sqlite");
  const file = openSqlite(path);
  file.exec("pragma query_only = on");
  const reading = queriesOver(file);
  return {
    writing,
    reading,
    remove: async () => {
      for (const db of [writing, reading]) await db.destroy();
      rmSync(folder, { recursive: true, force: true });
    },
  };
};

const postgres = async (): Promise<EitherDatabase> => {
  const cluster: Cluster = await startCluster();
  const shop: SharedShop = await openShop(cluster, "brewery", { benches: ["cellar"], readers: ["office"] });
  const open = async (login: string) => {
    const before = process.env["PGPASSWORD"];
    process.env["PGPASSWORD"] = shop.password(login);
    const opened = openShared(shop.address(login), { connections: 1 });
    // The password is taken when the first connection is made.
    await opened.db.selectFrom("runs").select("run_id").limit(1).execute();
    if (before === undefined) delete process.env["PGPASSWORD"];
    else process.env["PGPASSWORD"] = before;
    return opened;
  };
  const [writing, reading] = [await open("cellar"), await open("office")];
  return {
    writing: writing.db,
    reading: reading.db,
    remove: async () => {
      for (const each of [writing, reading]) await each.close();
      shop.remove();
      await cluster.remove();
    },
  };
};

export const openKind = (kind: (typeof KINDS)[number]): Promise<EitherDatabase> =>
  kind === "SQLite" ? sqlite() : postgres();
