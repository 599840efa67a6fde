import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { type Shipped, shipStore } from "../../../src/app/records/ship-store.ts";
import { openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { seededRandom } from "../../drivers/wire-faults.ts";
import { type CuttingProxy, startCuttingProxy } from "./cutting-proxy.ts";
import { madeUpRun } from "./made-up-runs.ts";
import { type Cluster, skipsPostgres, startCluster } from "./postgres-cluster.ts";
import { keepMadeUp, openShop, type SharedShop, withPassword } from "./shared-shop.ts";
import { numbers, type Shipping, shippingIn } from "./shipping.ts";

const BENCHES = Array.from({ length: 5 }, (_, i) => `bench_${i}`);
const utc = (): string => "2026-11-25T10:00:00.000Z";

describe.skipIf(skipsPostgres())(
  "shipping to the shared database (needs a PostgreSQL server: initdb, postgres)",
  () => {
    let cluster: Cluster;
    let shop: SharedShop;
    let proxy: CuttingProxy;
    let shipping: Shipping;
    const ship: Shipping["ship"] = (...args) => shipping.ship(...args);
    const newStore: Shipping["newStore"] = (...args) => shipping.newStore(...args);
    const expectAllThere: Shipping["expectAllThere"] = (...args) => shipping.expectAllThere(...args);

    beforeAll(async () => {
      cluster = await startCluster();
      shop = await openShop(cluster, "brewery", { benches: BENCHES, readers: ["office"] });
      shipping = shippingIn(shop);
      proxy = await startCuttingProxy(cluster.port);
    });
    afterAll(async () => {
      await proxy?.close();
      shop?.remove();
      await cluster?.remove();
    });

    it("takes every finished run once, with its ledger, and has nothing to do afterwards", async () => {
      const { db } = await newStore("first", numbers(100, 5));
      const done = await ship("bench_0", db);
      expect(done).toMatchObject({
        sent: 5,
        already_there: 0,
        waiting: 0,
        ledger_entries: 5,
        refused: [],
        stopped_by: null,
      });
      await expectAllThere("first", db);
      expect(await ship("bench_0", db)).toMatchObject({ sent: 0, already_there: 0, ledger_entries: 0, waiting: 0 });
      await keepMadeUp(db, [madeUpRun(105, 8, { bench: "first" })]);
      expect(await ship("bench_0", db)).toMatchObject({ sent: 1, ledger_entries: 1 });
      await expectAllThere("first", db);
      await db.destroy();
    });

    it("takes the acts on certificates with the runs, and what is added to them later", async () => {
      const { db, runs } = await newStore("papers", [106]);
      let head = EMPTY_HEAD;
      const add = async (from: number, acts: readonly string[]): Promise<void> => {
        for (const [i, act] of acts.entries()) {
          const body = canonicalJson({ seq: from + i, act });
          head = nextHead(head, body);
          const row = {
            number: "K-1",
            act,
            run_id: runs[0]?.run.run_id ?? null,
            utc: "2026-11-25T10:00:00.000Z",
            body,
            hash: head,
          };
          await db
            .insertInto("certificate_acts")
            .values({ certificates_id: "papers", seq: from + i, ...row })
            .execute();
        }
      };
      await add(0, ["drafted", "reviewed"]);
      expect(await ship("bench_0", db)).toMatchObject({ sent: 1, certificate_acts: 2, refused: [] });
      expect(await ship("bench_0", db)).toMatchObject({ sent: 0, certificate_acts: 0 });
      await add(2, ["authorised", "issued"]);
      expect(await ship("bench_0", db)).toMatchObject({ certificate_acts: 2, refused: [] });
      const there = await shop.as("office", "select * from certificate_acts order by seq");
      expect(there).toEqual(await db.selectFrom("certificate_acts").selectAll().orderBy("seq").execute());
      // Another bench cannot go on with them.
      const other = await newStore("papers-two", [107]);
      await other.db
        .insertInto("certificate_acts")
        .values(await db.selectFrom("certificate_acts").selectAll().execute())
        .execute();
      const body = canonicalJson({ seq: 4, act: "withdrawn" });
      const forged = {
        certificates_id: "papers",
        seq: 4,
        number: "K-1",
        act: "withdrawn",
        run_id: null,
        utc: "",
        body,
        hash: nextHead(head, body),
      };
      await other.db.insertInto("certificate_acts").values(forged).execute();
      const refused = await ship("bench_1", other.db);
      expect(refused).toMatchObject({ sent: 1, stopped_by: null });
      expect(refused.refused[0]?.message).toContain("certificates papers belongs to another login than bench_1");
      for (const each of [db, other.db]) await each.destroy();
    });

    it("sends signatures that came after their run, and those of the ledger", async () => {
      const { db, runs } = await newStore("signed", [108]);
      const run_id = runs[0]?.run.run_id ?? "";
      const row = { public_key: "k", signature: "s" };
      await db
        .insertInto("signatures")
        .values({ run_id, head: "first", ...row, utc: "2026-11-25T09:00:00.000Z" })
        .execute();
      await ship("bench_0", db);
      await db
        .insertInto("signatures")
        .values({ run_id, head: "later", ...row, utc: "2026-11-26T09:00:00.000Z" })
        .execute();
      await db
        .insertInto("signatures")
        .values({ run_id: "ledger:signed", head: "l", ...row, utc: "2026-11-26T09:00:00.000Z" })
        .execute();
      expect(await ship("bench_0", db)).toMatchObject({ refused: [], stopped_by: null });
      const there = await shop.as(
        "office",
        "select head from signatures where run_id in ($1, 'ledger:signed') order by head",
        [run_id],
      );
      expect(there.map((r) => r["head"])).toEqual(["first", "l", "later"]);
      await db.destroy();
    });

    it("leaves an open run where it is", async () => {
      const { db } = await newStore("open", [110]);
      await db.insertInto("events").values({ run_id: "open-run", seq: 1, body: "{}", hash: "x" }).execute();
      expect(await ship("bench_0", db)).toMatchObject({ sent: 1, waiting: 0, refused: [] });
      expect(await shop.as("office", "select 1 from events where run_id = 'open-run'")).toEqual([]);
      await db.destroy();
    });

    it("never writes over a run that is there with another content, says so, and goes on with the others", async () => {
      const { db, runs } = await newStore("twins", [120]);
      await ship("bench_0", db);
      const twin = await newStore("twins-two", [121], 8);
      const other = madeUpRun(120, 8, { bench: "twins-two", body: 401 });
      await keepMadeUp(twin.db, [other]);
      const done = await ship("bench_0", twin.db);
      expect(done).toMatchObject({ sent: 1, waiting: 1, stopped_by: null });
      expect(done.refused).toHaveLength(1);
      expect(done.refused[0]).toMatchObject({
        code: "record-damaged",
        message: `Run ${other.run.run_id} is in the shared database with another content.`,
        means: expect.stringContaining(other.run.head),
      });
      const there = await shop.as("office", "select head from runs where run_id = $1", [other.run.run_id]);
      expect(there).toEqual([{ head: runs[0]?.run.head }]);
      for (const each of [db, twin.db]) await each.destroy();
    });

    it("does not send a run that was changed on the bench, and names it", async () => {
      const { db, path, runs } = await newStore("bent", [130, 131, 132]);
      const file = openSqlite(path);
      file.exec("drop trigger events_no_update");
      file.prepare("update events set body = body || ' ' where run_id = ? and seq = 4").run(runs[1]?.run.run_id);
      file.close();
      const done = await ship("bench_0", db);
      expect(done).toMatchObject({ sent: 2, waiting: 1, stopped_by: null });
      expect(done.refused[0]?.message).toContain(`Run ${runs[1]?.run.run_id} is not whole`);
      expect(done.refused[0]?.message).toContain("event 4 does not fit its digest");
      await db.destroy();
    });

    it("does not go on from a ledger that was begun anew", async () => {
      const { db } = await newStore("again", [140]);
      await ship("bench_0", db);
      const fresh = await newStore("again", [141]);
      const done = await ship("bench_0", fresh.db);
      expect(done.sent).toBe(1);
      expect(done.refused[0]?.message).toBe(
        "Entry 1 of the ledger of bench again is another in the shared database than here.",
      );
      for (const each of [db, fresh.db]) await each.destroy();
    });

    it("says what is wrong with login, password, database and preparation, and never a password", async () => {
      const { db } = await newStore("asks", [150]);
      const said = async (login: string, password: string, database = "brewery"): Promise<string> => {
        const address = { ...shop.address(login), url: cluster.url(login, database) };
        const done = await withPassword(password, () => shipStore(db, address, { utc }));
        expect(done).toMatchObject({ sent: 0, waiting: 1 });
        expect(JSON.stringify(done)).not.toContain(password);
        return `${done.stopped_by?.passing} ${done.stopped_by?.fault.message}`;
      };
      expect(await said("bench_0", "wrong-secret")).toMatch(/^false .* does not let this login in/u);
      expect(await said("bench_0", shop.password("bench_0"), "no_such")).toMatch(/^false .* is not there/u);
      expect(await said("office", shop.password("office"))).toMatch(
        /^false .* does not allow this: permission denied for table runs/u,
      );
      await cluster.admin("create database empty_one");
      expect(await said("bench_0", shop.password("bench_0"), "empty_one")).toMatch(
        /^false .* is not prepared for this version/u,
      );
      await db.destroy();
    });

    it("waits out a server that is stopped in the middle and started again", async () => {
      const { db } = await newStore("stopped", numbers(200, 12));
      let seen = 0;
      const stopping: Promise<void>[] = [];
      const first = await ship("bench_1", db, {
        onRun: () => {
          seen += 1;
          if (seen === 4) stopping.push(cluster.stop("immediate"));
        },
      });
      await Promise.all(stopping);
      expect(first.stopped_by).toMatchObject({ passing: true, fault: { code: "line-lost" } });
      expect(first.sent).toBeGreaterThanOrEqual(4);
      expect(first.waiting).toBe(12 - first.sent);
      const away = await ship("bench_1", db);
      expect(away).toMatchObject({ sent: 0, stopped_by: { passing: true } });
      expect(away.stopped_by?.fault.message).toMatch(/does not answer: connect ECONNREFUSED/u);
      expect(away.stopped_by?.fault.means).toMatch(/^Nothing is lost/u);
      await cluster.start();
      expect(await ship("bench_1", db)).toMatchObject({ waiting: 0, refused: [], stopped_by: null });
      await expectAllThere("stopped", db);
      await db.destroy();
    });

    it("loses and doubles nothing when the line is cut after any number of bytes", async () => {
      const { db } = await newStore("cut", []);
      const random = seededRandom(7);
      let [n, answer, whole] = [300, 0, 0];
      const one = async (limit: number): Promise<Shipped> => {
        await keepMadeUp(db, [madeUpRun(n, 8, { bench: "cut" })]);
        n += 1;
        proxy.cutAfter(limit);
        let seen = 0;
        const done = await ship("bench_2", db, { port: proxy.port, onRun: () => (seen ||= proxy.carried()) });
        if (done.waiting === 0 && limit === Number.POSITIVE_INFINITY) [answer, whole] = [seen, proxy.carried()];
        return done;
      };
      // A pass that is let alone tells where the answer to the commit comes, and how many bytes there are.
      await one(Number.POSITIVE_INFINITY);
      await one(Number.POSITIVE_INFINITY);
      let [cuts, lostAnswers] = [0, 0];
      for (let i = 0; i < 60; i += 1) {
        const anywhere = Math.floor(random() * whole * 1.02);
        const broken = await one(i % 3 === 0 ? answer - 1 - Math.floor(random() * 20) : anywhere);
        expect(broken.refused).toEqual([]);
        lostAnswers += broken.already_there;
        if (broken.stopped_by !== null) {
          cuts += 1;
          expect(broken.stopped_by).toMatchObject({ passing: true, fault: { code: "line-lost" } });
        }
        // Some go on from where they were cut, some are cut again and again.
        if (random() < 0.3) continue;
        proxy.cutAfter(Number.POSITIVE_INFINITY);
        const healed = await ship("bench_2", db, { port: proxy.port });
        expect(healed).toMatchObject({ waiting: 0, refused: [], stopped_by: null });
        lostAnswers += healed.already_there;
      }
      proxy.cutAfter(Number.POSITIVE_INFINITY);
      lostAnswers += (await ship("bench_2", db, { port: proxy.port })).already_there;
      await expectAllThere("cut", db);
      expect(cuts).toBeGreaterThan(40);
      // Committed over there, and the word of it cut off on its way back.
      expect(lostAnswers).toBeGreaterThan(3);
      await db.destroy();
    });

    it("does not wait for ever on a line that falls silent", async () => {
      const { db } = await newStore("silent", numbers(380, 2));
      proxy.cutAfter(6000, "silent");
      const done = await ship("bench_2", db, { port: proxy.port, statement_ms: 200 });
      expect(done).toMatchObject({ waiting: 2, stopped_by: { passing: true, fault: { code: "line-lost" } } });
      proxy.cutAfter(Number.POSITIVE_INFINITY);
      expect(await ship("bench_2", db, { port: proxy.port })).toMatchObject({ waiting: 0, stopped_by: null });
      await expectAllThere("silent", db);
      await db.destroy();
    });

    it("knows a run again whose answer was lost on the way back", async () => {
      const { db, path } = await newStore("lost-answer", [400, 401]);
      await ship("bench_3", db);
      const file = openSqlite(path);
      file.exec("drop trigger shipped_no_delete; delete from shipped");
      file.close();
      expect(await ship("bench_3", db)).toMatchObject({ sent: 0, already_there: 2, waiting: 0, refused: [] });
      await expectAllThere("lost-answer", db);
      await db.destroy();
    });

    it("waits while the disk of the server is full (as the server says it: SQLSTATE 53100 from a trigger)", async () => {
      const { db } = await newStore("full", numbers(500, 4));
      await cluster.admin(
        `create function no_room() returns trigger language plpgsql as $$
       begin raise exception 'could not extend file: No space left on device' using errcode = '53100'; end $$;
       create trigger no_room before insert on events for each row when (new.seq = 5) execute function no_room()`,
        "brewery",
      );
      const done = await ship("bench_4", db);
      expect(done).toMatchObject({ sent: 0, waiting: 4, refused: [], stopped_by: { passing: true } });
      expect(done.stopped_by?.fault.message).toMatch(/has no room: .*No space left on device/u);
      expect(await shop.as("office", "select 1 from runs where bench_id = 'full'")).toEqual([]);
      await cluster.admin("drop trigger no_room on events; drop function no_room", "brewery");
      expect(await ship("bench_4", db)).toMatchObject({ sent: 4, waiting: 0 });
      await expectAllThere("full", db);
      await db.destroy();
    });
  },
);
