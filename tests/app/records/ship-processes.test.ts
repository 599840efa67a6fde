import { execFileSync } from "node:child_process";
import { chownSync, mkdirSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seededRandom } from "../../drivers/wire-faults.ts";
import { madeUpRun } from "./made-up-runs.ts";
import { type Cluster, skipsPostgres, startCluster } from "./postgres-cluster.ts";
import { keepMadeUp, openShop, type SharedShop } from "./shared-shop.ts";
import { bundledShipper, startShipper } from "./ship-process.ts";
import { numbers, type Shipping, shippingIn } from "./shipping.ts";

/** Enough for a machine that has much else to do: hundreds of processes are started. */
const LONG_ms = 300_000;

const BENCHES = Array.from({ length: 10 }, (_, i) => `bench_${i}`);

describe.skipIf(skipsPostgres())("shippers as processes (needs a PostgreSQL server: initdb, postgres)", () => {
  let cluster: Cluster;
  let shop: SharedShop;
  let shipping: Shipping;
  let program: string;

  beforeAll(async () => {
    cluster = await startCluster();
    shop = await openShop(cluster, "brewery", { benches: BENCHES, readers: ["office"] });
    shipping = shippingIn(shop);
    program = bundledShipper(shop.folder);
  });
  afterAll(async () => {
    shop?.remove();
    await cluster?.remove();
  });

  it(
    "loses and doubles nothing when it is killed at a hundred random moments",
    async () => {
      const { db, path } = await shipping.newStore("killed", numbers(6000, 40), 5);
      const random = seededRandom(11);
      const acknowledged = new Set<string>();
      let [inTheMiddle, n] = [0, 6040];
      for (let kill = 0; kill < 100; kill += 1) {
        const more = numbers(n, 3).map((each) => madeUpRun(each, 5, { bench: "killed" }));
        n += 3;
        await keepMadeUp(db, more);
        const child = startShipper(program, path, shop.address("bench_5").url, {
          PGPASSFILE: shop.passwordFile("bench_5"),
        });
        await child.begun;
        await wait(random() * 60);
        child.process.kill("SIGKILL");
        if ((await child.ended) === null) inTheMiddle += 1;
        expect(child.said()).toBe("");
        for (const run_id of child.acknowledged) acknowledged.add(run_id);
        if (kill % 20 !== 19) continue;
        // Each run is there whole or not at all, and what was acknowledged is there.
        const there = new Set(
          (await shop.as("office", "select run_id from runs where bench_id = 'killed'")).map((r) => r["run_id"]),
        );
        expect([...acknowledged].filter((run_id) => !there.has(run_id))).toEqual([]);
        expect(
          await shop.as("office", "select run_id from runs where stillpoint_check_run(run_id) is not null"),
        ).toEqual([]);
      }
      expect(inTheMiddle).toBeGreaterThan(60);
      expect(await shipping.ship("bench_5", db)).toMatchObject({ waiting: 0, refused: [], stopped_by: null });
      await shipping.expectAllThere("killed", db);
      await db.destroy();
    },
    LONG_ms,
  );

  it(
    "loses and doubles nothing when ten benches ship at once, fifty runs each",
    async () => {
      const all = await Promise.all(
        BENCHES.map(async (login, i) => {
          const bench = `at-once-${i}`;
          return { login, bench, ...(await shipping.newStore(bench, numbers(2000 + 100 * i, 50))) };
        }),
      );
      // On a machine that has much else to do a line can count as away; then the shipper comes again, as it does in a shop.
      const shipped = async ({ login, path }: (typeof all)[number]): Promise<string> => {
        const said: string[] = [];
        for (let tries = 0; tries < 5; tries += 1) {
          const shipper = startShipper(program, path, shop.address(login).url, {
            PGPASSFILE: shop.passwordFile(login),
          });
          if ((await shipper.ended) === 0) return "";
          said.push(shipper.said());
        }
        return said.join("\n");
      };
      expect(await Promise.all(all.map(shipped))).toEqual(BENCHES.map(() => ""));
      for (const { bench, db } of all) {
        await shipping.expectAllThere(bench, db);
        await db.destroy();
      }
      expect(await shop.as("office", "select count(*)::int as n from runs where bench_id like 'at-once-%'")).toEqual([
        { n: 500 },
      ]);
    },
    LONG_ms,
  );

  it("waits while the disk of the server is full: a small file system that is really full, and then is given room", async (context) => {
    const place = join(cluster.folder, "small");
    mkdirSync(place);
    try {
      execFileSync("mount", ["-t", "tmpfs", "-o", "size=12m", "tmpfs", place], { stdio: "pipe" });
    } catch {
      return context.skip("needs the right to mount a small file system");
    }
    try {
      const { uid, gid } = cluster.runsAs;
      if (uid !== undefined && gid !== undefined) chownSync(place, uid, gid);
      await cluster.admin(`create tablespace small location '${place}'`);
      const small = await openShop(cluster, "small", { benches: ["bench_small"], readers: ["clerk"] }, "small");
      const { db } = await shipping.newStore("small", numbers(9000, 40), 400);
      const ship = () => shippingIn(small).ship("bench_small", db);
      const full = await ship();
      expect(full).toMatchObject({ refused: [], stopped_by: { passing: true, fault: { code: "device-busy" } } });
      expect(full.stopped_by?.fault.message).toMatch(/has no room: .*No space left on device/u);
      expect(full.sent).toBeGreaterThan(0);
      expect(full.waiting).toBe(40 - full.sent);
      execFileSync("mount", ["-o", "remount,size=60m", place]);
      expect(await ship()).toMatchObject({ sent: 40 - full.sent, waiting: 0, refused: [], stopped_by: null });
      const rows = await small.as(
        "clerk",
        "select count(*)::int as n, count(stillpoint_check_run(run_id))::int as wrong from runs",
      );
      expect(rows).toEqual([{ n: 40, wrong: 0 }]);
      await db.destroy();
      small.remove();
      await cluster.admin("drop database small");
      await cluster.admin("drop tablespace small");
    } finally {
      execFileSync("umount", ["-l", place]);
    }
  });
});
