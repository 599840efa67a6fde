import { readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { prepareDatabase } from "../../../src/app/records/postgres-prepare.ts";
import { RECORD_TABLES } from "../../../src/app/records/postgres-protection.ts";
import { openShared } from "../../../src/app/records/postgres-queries.ts";
import { sendRun } from "../../../src/app/records/ship-run.ts";
import { madeUpRun } from "./made-up-runs.ts";
import { type Cluster, skipsPostgres, startCluster } from "./postgres-cluster.ts";
import { openShop, type SharedShop, withPassword } from "./shared-shop.ts";

const OWNER = "brewery_owner";

describe.skipIf(skipsPostgres())(
  "the roles of the shared database (needs a PostgreSQL server: initdb, postgres)",
  () => {
    let cluster: Cluster;
    let shop: SharedShop;
    const { run, events, references } = madeUpRun(1, 3, { bench: "cellar-bench" });

    const sendAs = (
      login: string,
      n: number,
      bench: string,
      bend: (made: ReturnType<typeof madeUpRun>) => object = () => ({}),
    ) =>
      withPassword(shop.password(login), async () => {
        const shared = openShared(shop.address(login), { connections: 1 });
        try {
          const made = madeUpRun(n, 3, { bench });
          return await sendRun(shared.db, { ...made, signatures: [], ...bend(made) });
        } finally {
          await shared.close();
        }
      });

    beforeAll(async () => {
      cluster = await startCluster();
      shop = await openShop(cluster, "brewery", { benches: ["cellar", "yard"], readers: ["office"] });
      expect(await sendAs("cellar", 1, "cellar-bench")).toEqual({ ok: true, value: "sent" });
    });
    afterAll(async () => {
      shop?.remove();
      await cluster?.remove();
    });

    it.each(
      RECORD_TABLES.flatMap((table) => ["cellar", "office", OWNER, "admin"].map((login) => [table, login] as const)),
    )("%s cannot be changed, emptied or dropped by %s", async (table, login) => {
      const column = ["runs", "events", "references_used", "signatures"].includes(table) ? "run_id" : "seq";
      const acts = [`update ${table} set ${column} = ${column}`, `delete from ${table}`, `truncate ${table}`];
      // Whoever owns a table may drop it; that is what backups are for.
      const more =
        login === OWNER || login === "admin" ? [] : [`drop table ${table}`, `alter table ${table} add x text`];
      for (const act of [...acts, ...more]) {
        const asLogin = login === "admin" ? cluster.admin(act, "brewery") : shop.as(login, act);
        await expect(asLogin, act).rejects.toMatchObject({ code: "42501" });
      }
    });

    it("a bench cannot make or take anything else", async () => {
      for (const act of [
        "create table mine (a text)",
        "create temporary table mine (a text)",
        "create schema mine",
        "create role mine",
        "drop trigger never_changed on runs",
        "alter table runs disable trigger all",
        "set session_replication_role = replica",
        "create or replace function stillpoint_refuse_change() returns trigger language plpgsql as 'begin return new; end'",
        "insert into senders (kind, id, login) values ('bench', 'yard-bench', 'cellar')",
        "set role brewery_owner",
        "create index mine on runs (verdict)",
      ]) {
        await expect(shop.as("cellar", act), act).rejects.toMatchObject({ code: "42501" });
      }
    });

    it("a reader reads and adds nothing", async () => {
      expect(await shop.as("office", "select run_id from runs")).toEqual([{ run_id: run.run_id }]);
      for (const table of RECORD_TABLES) {
        await expect(shop.as("office", `insert into ${table} select * from ${table}`)).rejects.toMatchObject({
          code: "42501",
        });
      }
    });

    it("who has no role has no access at all", async () => {
      await cluster.admin("create role stranger login password 'x'");
      await expect(cluster.admin("set role stranger; select 1 from runs", "brewery")).rejects.toMatchObject({
        code: "42501",
      });
      expect(await cluster.admin("select has_database_privilege('stranger', 'brewery', 'connect') as may")).toEqual([
        { may: false },
      ]);
    });

    it("a bench adds only runs of its own, and the first to send is whose it is", async () => {
      await expect(sendAs("yard", 2, "cellar-bench")).rejects.toMatchObject({
        code: "42501",
        message: "bench cellar-bench belongs to another login than yard",
      });
      expect(await sendAs("yard", 3, "yard-bench")).toEqual({ ok: true, value: "sent" });
      expect(await shop.as("office", "select id, login from senders order by id")).toEqual([
        { id: "cellar-bench", login: "cellar" },
        { id: "yard-bench", login: "yard" },
      ]);
      const ledger = `insert into bench_ledger values ('cellar-bench', 1, 'x', '${nextHead(EMPTY_HEAD, "x")}')`;
      await expect(shop.as("yard", ledger)).rejects.toMatchObject({ code: "42501" });
      const signature = `insert into signatures values ($1, 'h', 'k', 's', 'u')`;
      await expect(shop.as("yard", signature, [run.run_id])).rejects.toMatchObject({ code: "42501" });
      await expect(shop.as("yard", signature, ["ledger:cellar-bench"])).rejects.toMatchObject({ code: "42501" });
      await expect(shop.as("cellar", signature, ["ledger:cellar-bench"])).resolves.toEqual([]);
    });

    it("nothing is added to a run that is there", async () => {
      await expect(
        shop.as("cellar", "insert into events values ($1, 99, 'x', 'y')", [run.run_id]),
      ).rejects.toMatchObject({ code: "42501" });
      await expect(
        shop.as("cellar", "insert into references_used values ($1, 'gauge', 'G-99', 'C', '2030-01-01')", [run.run_id]),
      ).rejects.toMatchObject({ code: "42501" });
      expect(references.length).toBe(2);
    });

    it("the server recomputes the chain of a run and takes none that is not whole", async () => {
      const bends: Record<string, (made: ReturnType<typeof madeUpRun>) => object> = {
        "2 of 3 events are there": (made) => ({ events: made.events.slice(0, -1) }),
        "event 2 is missing": (made) => ({ events: made.events.filter((e) => e.seq !== 2) }),
        "event 2 does not fit its digest": (made) => ({
          events: made.events.map((e) => (e.seq === 2 ? { ...e, body: `${e.body} ` } : e)),
        }),
        "event 1 does not fit its digest": (made) => ({
          events: made.events.map((e) => (e.seq < 3 ? { ...e, seq: 3 - e.seq } : e)),
        }),
        "the events do not end in the head of the run": (made) => ({
          run: { ...made.run, head: made.run.head.replaceAll("a", "b") },
        }),
      };
      for (const [what, bend] of Object.entries(bends)) {
        await expect(sendAs("cellar", 4, "cellar-bench", bend), what).rejects.toMatchObject({
          code: "SP001",
          message: expect.stringContaining(what),
        });
      }
      // None of them left anything behind.
      expect(await shop.as("office", "select count(*)::int as n from events")).toEqual([{ n: 6 }]);
      expect(await shop.as("office", "select stillpoint_check_run($1) as wrong", [run.run_id])).toEqual([
        { wrong: null },
      ]);
      expect(events.length).toBe(3);
    });

    it("the same digest is worked out there as here", async () => {
      const body = '{"a":"ä \\u0000 € 𝄞"}';
      const rows = await shop.as("office", "select stillpoint_next_head($1, $2) as head", [EMPTY_HEAD, body]);
      expect(rows).toEqual([{ head: nextHead(EMPTY_HEAD, body) }]);
    });

    it("a ledger only goes on", async () => {
      const first = nextHead(EMPTY_HEAD, "a");
      const insert = "insert into bench_ledger values ('cellar-bench', $1, $2, $3)";
      await expect(shop.as("cellar", insert, [2, "b", nextHead(first, "b")])).rejects.toMatchObject({ code: "SP001" });
      await expect(shop.as("cellar", insert, [1, "a", nextHead(first, "a")])).rejects.toMatchObject({ code: "SP001" });
      await shop.as("cellar", insert, [1, "a", first]);
      await expect(shop.as("cellar", insert, [3, "c", nextHead(first, "c")])).rejects.toMatchObject({ code: "SP001" });
      await expect(shop.as("cellar", insert, [2, "b", nextHead(EMPTY_HEAD, "b")])).rejects.toMatchObject({
        code: "SP001",
      });
      await shop.as("cellar", insert, [2, "b", nextHead(first, "b")]);
    });

    it("is prepared again without harm: logins keep their passwords, and a file left from an attempt is taken up", async () => {
      const before = readFileSync(shop.passwordFile("cellar"), "utf8");
      const left = join(shop.folder, "late.pgpass");
      writeFileSync(left, "*:*:brewery:late:abc123\n", { mode: 0o600 });
      await withPassword(shop.password(OWNER), async () => {
        const wishes = { benches: ["cellar", "late"], readers: [], passwords: shop.folder };
        expect(await prepareDatabase(shop.address(OWNER), wishes)).toMatchObject({
          ok: true,
          value: { migrations: [], made: [{ login: "late", password_file: left }], known: ["cellar"] },
        });
        const odd = await prepareDatabase(shop.address(OWNER), { ...wishes, benches: ["Robert'); drop role x; --"] });
        expect(odd).toMatchObject({ ok: false, fault: { code: "bad-option" } });
      });
      expect(readFileSync(shop.passwordFile("cellar"), "utf8")).toBe(before);
      expect(await shop.as("late", "select 1 as one")).toEqual([{ one: 1 }]);
    });

    it("only somebody who owns the database can prepare it", async () => {
      await withPassword(shop.password("cellar"), async () => {
        const refused = await prepareDatabase(shop.address("cellar"), {
          benches: ["mine"],
          readers: [],
          passwords: shop.folder,
        });
        expect(refused).toMatchObject({ ok: false, fault: { kind: "refused", code: "not-allowed" } });
      });
    });

    it("passwords lie in files for their owner alone, and the server never saw them", async () => {
      const file = shop.passwordFile("cellar");
      if (process.platform !== "win32") expect(statSync(file).mode & 0o777).toBe(0o600);
      expect(readFileSync(file, "utf8")).toMatch(/^\*:\*:brewery:cellar:[0-9a-f]{48}\n$/u);
      const kept = await cluster.admin("select rolpassword from pg_authid where rolname = 'cellar'");
      expect(kept[0]?.["rolpassword"]).toMatch(/^SCRAM-SHA-256\$4096:/u);
    });
  },
);
