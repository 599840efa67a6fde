import { join } from "node:path";
import { expect } from "vitest";
import { type Shipped, shipStore } from "../../../src/app/records/ship-store.ts";
import type { RecordDatabase } from "../../../src/app/records/tables.ts";
import { madeUpStore, type SharedShop, withPassword } from "./shared-shop.ts";

/** What the tests of shipping share: stores of made-up benches, passes over them, and the comparison of both places. */
export interface Shipping {
  ship(login: string, db: RecordDatabase, more?: PassWishes): Promise<Shipped>;
  newStore(
    bench: string,
    runs: readonly number[],
    events?: number,
  ): Promise<Awaited<ReturnType<typeof madeUpStore>> & { readonly path: string }>;
  /** Every row of the bench is there as it is here, once, and the server's own check finds nothing wrong. */
  expectAllThere(bench: string, db: RecordDatabase): Promise<void>;
}

interface PassWishes {
  readonly port?: number;
  readonly onRun?: () => void;
  readonly statement_ms?: number;
}

export const numbers = (from: number, count: number): readonly number[] =>
  Array.from({ length: count }, (_, i) => from + i);

const OF_BENCH = "run_id in (select run_id from runs where bench_id = $1)";

export const shippingIn = (shop: SharedShop): Shipping => {
  let stores = 0;
  const contents = async (bench: string, db: RecordDatabase) => {
    const there = [
      ...(await shop.as("office", "select * from runs where bench_id = $1 order by run_id", [bench])),
      ...(await shop.as("office", `select * from events where ${OF_BENCH} order by run_id, seq`, [bench])),
      ...(await shop.as("office", `select * from references_used where ${OF_BENCH} order by run_id, role`, [bench])),
      ...(await shop.as("office", "select * from bench_ledger where bench_id = $1 order by seq", [bench])),
    ];
    const here = [
      ...(await db.selectFrom("runs").selectAll().where("bench_id", "=", bench).orderBy("run_id").execute()),
      ...(await db.selectFrom("events").selectAll().orderBy("run_id").orderBy("seq").execute()),
      ...(await db.selectFrom("references_used").selectAll().orderBy("run_id").orderBy("role").execute()),
      ...(await db.selectFrom("bench_ledger").selectAll().where("bench_id", "=", bench).orderBy("seq").execute()),
    ];
    const texts = (rows: readonly object[]): readonly string[] => rows.map((row) => JSON.stringify(row));
    return { here: texts(here), there: texts(there) };
  };
  return {
    ship: (login, db, { port, onRun, statement_ms } = {}) =>
      withPassword(shop.password(login), () =>
        shipStore(db, shop.address(login, port), { utc: () => "2026-11-25T10:00:00.000Z", onRun, statement_ms }),
      ),
    newStore: async (bench, runs, events = 8) => {
      stores += 1;
      const path = join(shop.folder, `${stores}.sqlite`);
      return { path, ...(await madeUpStore(path, runs, { bench, events })) };
    },
    expectAllThere: async (bench, db) => {
      const { here, there } = await contents(bench, db);
      expect(there.length).toBe(here.length);
      expect(there).toEqual(here);
      const wrong = await shop.as("office", "select run_id from runs where stillpoint_check_run(run_id) is not null");
      expect(wrong).toEqual([]);
    },
  };
};
