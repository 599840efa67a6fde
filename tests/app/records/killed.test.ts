import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { migrate } from "../../../src/app/records/migrate.ts";
import { MIGRATIONS } from "../../../src/app/records/migrations/index.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { closeSqlite, openSqlite, queriesOver } from "../../../src/app/records/sqlite-file.ts";
import { builtOnce, CLI } from "../../end-to-end/build-once.ts";
import { must } from "../practice-job.ts";
import { killedAt, minimalStandard } from "./kill-writer.ts";
import { goldenBodies, smallSummary } from "./small-store.ts";

/** R83: a writer is killed at any moment. What was acknowledged is there, nothing is invented, the chain is whole. */

const KILLS = 100;
const MIGRATION_KILLS = 12;
const LONGEST_ms = 150;

const DIST = join(CLI, "../../..");
const CHILD = new URL("./writer-child.mjs", import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), "stillpoint-killed-"));
const bodies = goldenBodies("RUN");

beforeAll(async () => {
  await builtOnce();
  writeFileSync(join(folder, "bodies.json"), JSON.stringify(bodies));
  writeFileSync(join(folder, "summary.json"), JSON.stringify(smallSummary("RUN")));
}, 180_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Acknowledged {
  readonly run_id: string;
  readonly events: number;
  readonly head: string;
}

const headsOf = (run_id: string): readonly string[] => {
  const heads = [EMPTY_HEAD];
  for (const body of bodies) heads.push(nextHead(heads.at(-1) ?? "", body.replaceAll("RUN", run_id)));
  return heads;
};

/** What the store holds of a run has to be the beginning of what was written, at least as far as was acknowledged. */
const look = (path: string, acknowledged: readonly Acknowledged[], closed: readonly string[]): number => {
  const file = openSqlite(path);
  let more = 0;
  for (const { run_id, events, head } of acknowledged) {
    const rows = file.prepare("select body, hash from events where run_id = ? order by seq").all(run_id) as {
      readonly body: string;
      readonly hash: string;
    }[];
    const heads = headsOf(run_id);
    expect(heads[events]).toBe(head);
    expect(rows.length).toBeGreaterThanOrEqual(events);
    expect(rows.map((row) => row.body)).toEqual(bodies.slice(0, rows.length).map((b) => b.replaceAll("RUN", run_id)));
    expect(rows.at(-1)?.hash).toBe(heads[rows.length]);
    more += rows.length - events;
  }
  for (const run_id of closed) {
    expect(file.prepare("select events, head from runs where run_id = ?").get(run_id)).toMatchObject({
      events: bodies.length,
      head: headsOf(run_id).at(-1),
    });
  }
  file.close();
  return more;
};

it(`loses no acknowledged event in ${KILLS} kills, and invents none`, async () => {
  const random = minimalStandard(20261125);
  const path = join(folder, "records.sqlite");
  let [events, unasked, inRun] = [0, 0, 0];
  for (let kill = 0; kill < KILLS; kill += 1) {
    const { lines, code } = await killedAt(
      process.execPath,
      [
        CHILD,
        DIST,
        path,
        join(folder, "bodies.json"),
        join(folder, "summary.json"),
        `kill-${String(kill).padStart(3, "0")}`,
      ],
      { after: "ready", wait_ms: random() * LONGEST_ms },
    );
    expect(lines.filter((line) => line.startsWith("FAULT"))).toEqual([]);
    expect(code).toBeNull();
    const last = new Map<string, Acknowledged>();
    for (const [word, run_id = "", count, head = ""] of lines.map((line) => line.split(" "))) {
      if (word === "kept" || word === "closed") last.set(run_id, { run_id, events: Number(count), head });
    }
    const closed = lines.filter((line) => line.startsWith("closed")).map((line) => line.split(" ")[1] ?? "");
    unasked += look(path, [...last.values()], closed);
    events += [...last.values()].reduce((n, run) => n + run.events, 0);
    if (lines.at(-1)?.startsWith("kept") === true) inRun += 1;
    if (kill % 10 === 9) expect((await proveStore(path)).findings).toEqual([]);
  }
  process.stderr.write(
    `${KILLS} kills: ${events} acknowledged events all there; ${unasked} more were on the disk before their acknowledgement was heard; ${inRun} kills inside a run\n`,
  );
  expect((await proveStore(path)).findings).toEqual([]);
  expect(inRun).toBeGreaterThan(KILLS / 10);
  // What broke off can be gone on with.
  const records = must(await openRecords(path, { bench: "Practice bench" }));
  const open = must(records.openRuns());
  expect(open.length).toBeGreaterThan(0);
  const run_id = open[0] ?? "";
  const { bodies: kept } = must(records.resume(run_id));
  must(
    records.append(
      run_id,
      bodies.slice(kept.length).map((b) => b.replaceAll("RUN", run_id)),
    ),
  );
  must(records.finish(run_id, smallSummary(run_id)));
  records.close();
  expect((await proveStore(path)).findings).toEqual([]);
}, 300_000);

it(`leaves an old store or a new one in ${MIGRATION_KILLS} kills while it is brought to this version`, async () => {
  const random = minimalStandard(7);
  const seen = new Set<number>();
  for (let kill = 0; kill < MIGRATION_KILLS; kill += 1) {
    const path = join(folder, `migrating-${kill}.sqlite`);
    const old = openSqlite(path);
    await migrate(queriesOver(old), "sqlite", MIGRATIONS.slice(0, 1));
    old
      .prepare("insert into events (run_id, seq, body, hash) values ('old', 1, ?, ?)")
      .run("{}", nextHead(EMPTY_HEAD, "{}"));
    closeSqlite(old);
    await killedAt(
      process.execPath,
      [CHILD, DIST, path, join(folder, "bodies.json"), join(folder, "summary.json"), "after"],
      { wait_ms: 120 + random() * 400 },
    );
    const file = openSqlite(path);
    const { user_version } = file.prepare("pragma user_version").get() as { readonly user_version: number };
    const { steps } = file.prepare("select count(*) as steps from kysely_migration").get() as {
      readonly steps: number;
    };
    expect(file.prepare("pragma integrity_check").get()).toMatchObject({ integrity_check: "ok" });
    expect(file.prepare("select body from events where run_id = 'old'").get()).toMatchObject({ body: "{}" });
    expect(steps).toBe(user_version);
    file.close();
    seen.add(user_version);
    const records = must(await openRecords(path, { bench: "Practice bench" }));
    records.close();
  }
  expect([...seen].every((version) => version === 1 || version === MIGRATIONS.length)).toBe(true);
}, 120_000);

it("leaves the old state when a step fails or is cut off in its middle", async () => {
  const path = join(folder, "failing.sqlite");
  const file = openSqlite(path);
  await migrate(queriesOver(file), "sqlite", MIGRATIONS.slice(0, 1));
  const before = file.prepare("select sql from sqlite_master order by name").all();
  const failing = {
    name: "0002-failing",
    up: async () => {
      file.exec("create table half_made (a text); insert into kysely_migration values ('half', 'made')");
      throw new Error("the power is gone");
    },
  };
  await expect(migrate(queriesOver(file), "sqlite", [...MIGRATIONS.slice(0, 1), failing])).rejects.toThrow("the power");
  expect(file.prepare("select sql from sqlite_master order by name").all()).toEqual(before);
  expect(file.prepare("pragma user_version").get()).toMatchObject({ user_version: 1 });
  closeSqlite(file);
});
