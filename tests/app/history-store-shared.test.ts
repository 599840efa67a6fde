import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { dueList } from "../../src/app/due-list.ts";
import { storeSource } from "../../src/app/history-store.ts";
import { openShared, type SharedDatabase } from "../../src/app/records/postgres-queries.ts";
import type { RecordDatabase } from "../../src/app/records/tables.ts";
import { every, factOf, type Told } from "../history/facts.ts";
import { type MadeUpRun, madeUpRun } from "./records/made-up-runs.ts";
import { type Cluster, skipsPostgres, startCluster } from "./records/postgres-cluster.ts";
import { keepMadeUp, madeUpStore, openShop, type SharedShop, withPassword } from "./records/shared-shop.ts";

/** A run whose facts a store has lost. */
const lost = madeUpRun(99, 2, { bench: "cellar" });

/** Runs as a store keeps them, with facts that a history can be told from. */
const runs: readonly MadeUpRun[] = [
  ...every(6, [0.1, 0.16, 0.2, 0.27], "KV-1"),
  ...every(6, [0.1, 0.1, 0.6], "KV-2", "2024-03-01"),
  ...every(6, [0.4, 0.3], "KV-1", "2024-02-01").map((t): Told => ({ ...t, more: { simulated: true } })),
].map((told, n) => {
  const made = madeUpRun(n, 2, { bench: "cellar", units: 9 });
  const fact = { ...factOf(told), run_id: made.run.run_id };
  const { maker, model, serial_number, tag, customer } = fact.unit;
  const run = {
    ...made.run,
    started_utc: `${told.date}T08:00:00.000Z`,
    simulated: fact.simulated ? 1 : 0,
    unit_serial: serial_number,
    unit_tag: tag ?? "",
    unit_model: model,
    unit_maker: maker,
    customer: customer ?? "",
    verdict: fact.as_found?.verdict ?? null,
    facts: JSON.stringify(fact),
  };
  return { ...made, run };
});

describe.skipIf(skipsPostgres())(
  "the history out of either store (needs a PostgreSQL server: initdb, postgres)",
  () => {
    const folder = mkdtempSync(join(tmpdir(), "stillpoint-"));
    let cluster: Cluster | undefined;
    let shop: SharedShop | undefined;
    let shared: SharedDatabase | undefined;
    let bench: RecordDatabase | undefined;

    beforeAll(async () => {
      cluster = await startCluster();
      const opened = await openShop(cluster, "brewery", { benches: ["cellar"], readers: ["office"] });
      shop = opened;
      await withPassword(opened.password("cellar"), async () => {
        const writing = openShared(opened.address("cellar"));
        await keepMadeUp(writing.db, [...runs, lost]);
        await writing.close();
      });
      shared = openShared(opened.address("office"));
      bench = (await madeUpStore(join(folder, "records.sqlite"), [])).db;
      await keepMadeUp(bench, [...runs, lost]);
    }, 60_000);
    afterAll(async () => {
      await shared?.close();
      await bench?.destroy();
      shop?.remove();
      await cluster?.remove();
      rmSync(folder, { recursive: true, force: true });
    });

    /** The same asked of both, the shared one as its reader. */
    const both = async <T>(ask: (db: RecordDatabase) => Promise<T>): Promise<readonly T[]> => {
      const [own, all] = either();
      return [await ask(own), await withPassword(shop?.password("office") ?? "", () => ask(all))];
    };
    const either = (): readonly [RecordDatabase, RecordDatabase] => {
      if (bench === undefined || shared === undefined) throw new Error("a store is missing");
      return [bench, shared.db];
    };

    it("the same code gives the same facts from both", async () => {
      for (const [unit, count] of [
        ["kv-1", 9],
        ["TAG of kv-2", 9],
        [undefined, 9],
        ["KV-7", 0],
      ] as const) {
        const [own, all] = await both((db) => storeSource(db).facts(unit));
        const order = (read: typeof own) => read?.facts.toSorted((a, b) => (a.run_id < b.run_id ? -1 : 1));
        expect(own?.facts).toHaveLength(count);
        expect(order(all)).toEqual(order(own));
        // What is kept in a way that cannot be read is named, when it is asked for.
        expect(all?.unreadable.map((u) => u.where)).toEqual(unit === undefined ? [lost.run.run_id] : []);
        expect(all?.unreadable).toEqual(own?.unreadable);
      }
    });

    it("and the same due list, by kept dates and by every method", async () => {
      for (const method of ["fixed", "staircase", "control-chart", "reliability"] as const) {
        const lists = either().map((db) => dueList(storeSource(db), [], { today: "2026-11-25", method }));
        const [own, all] = await Promise.all(lists);
        expect(own?.items.filter((i) => i.kind === "unit").map((i) => [i.serial_number, i.simulated])).toHaveLength(
          method === "fixed" ? 4 : 3,
        );
        expect(own?.items.filter((i) => i.kind === "reference").length).toBeGreaterThan(1);
        expect(all).toEqual(own);
      }
      const early = await both((db) => storeSource(db).dueRows("2016-01-01"));
      expect(early[0]?.some((r) => r.kind === "unit")).toBe(false);
      expect(early[1]).toEqual(early[0]);
    });
  },
);
