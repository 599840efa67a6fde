import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { storeSource } from "../../../src/app/history-store.ts";
import { migrate } from "../../../src/app/records/migrate.ts";
import { openShared } from "../../../src/app/records/postgres-queries.ts";
import { findRuns, type RunCriteria } from "../../../src/app/records/queries/find-runs.ts";
import { openBenchRecords } from "../../../src/app/records/queries/open-to-read.ts";
import { inPieces } from "../../../src/app/records/ship-run.ts";
import { openSqlite, queriesOver } from "../../../src/app/records/sqlite-file.ts";
import type { RecordDatabase } from "../../../src/app/records/tables.ts";
import { type MadeUpRun, madeUpRun } from "../../app/records/made-up-runs.ts";
import { startCluster } from "../../app/records/postgres-cluster.ts";
import { openShop, withPassword } from "../../app/records/shared-shop.ts";

/**
 * How long finding takes: a bench with 1,000,000 events, and a shared database with 100,000 runs. Arguments: runs of the
 * bench, events a run, runs of the shared database; 10000 100 100000 when left out.
 */
const [benchRuns = 10_000, eventsOfRun = 100, sharedRuns = 100_000] = process.argv.slice(2).map(Number);
const TIMES = 11;
const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

const keep = async (db: RecordDatabase, made: readonly MadeUpRun[]): Promise<void> => {
  await db.transaction().execute(async (inside) => {
    for (const rows of inPieces(made.map((m) => m.run))) await inside.insertInto("runs").values(rows).execute();
    for (const rows of inPieces(made.flatMap((m) => m.events)))
      await inside.insertInto("events").values(rows).execute();
    for (const rows of inPieces(made.flatMap((m) => m.references))) {
      await inside.insertInto("references_used").values(rows).execute();
    }
  });
};

const fill = async (db: RecordDatabase, runs: number, events: number, body: number): Promise<void> => {
  for (let from = 0; from < runs; from += 500) {
    const count = Math.min(500, runs - from);
    await keep(
      db,
      Array.from({ length: count }, (_, i) =>
        madeUpRun(from + i, events, { body, units: Math.ceil(runs / 20), inTurn: true }),
      ),
    );
  }
};

/** Median, and the quickest and the slowest, between which the machine's other work and cold caches show. */
const timed = async (name: string, work: () => Promise<number>): Promise<void> => {
  const times: number[] = [];
  let found = 0;
  for (let i = 0; i < TIMES; i += 1) {
    const begun = performance.now();
    found = await work();
    times.push(performance.now() - begun);
  }
  const sorted = times.toSorted((a, b) => a - b);
  const median = sorted[Math.floor(TIMES / 2)] ?? 0;
  say(
    `  ${name.padEnd(46)} ${String(found).padStart(6)} rows  ${median.toFixed(1).padStart(7)} ms (${(sorted[0] ?? 0).toFixed(1)} to ${(sorted.at(-1) ?? 0).toFixed(1)})`,
  );
};

const measure = async (db: RecordDatabase, runs: number): Promise<void> => {
  const middle = madeUpRun(Math.floor(runs / 2), 1, { units: Math.ceil(runs / 20), inTurn: true }).run;
  const limit = 100;
  const day = middle.started_utc.slice(0, 10);
  const searches: Readonly<Record<string, RunCriteria>> = {
    "the newest": { limit },
    "serial number": { serial: middle.unit_serial, limit },
    "beginning of a serial number": { serial: `${middle.unit_serial.slice(0, 3)}*`, limit },
    tag: { tag: middle.unit_tag, limit },
    model: { model: middle.unit_model, limit },
    customer: { customer: middle.customer, limit },
    batch: { batch: middle.batch, limit },
    verdict: { verdict: "fail", limit },
    "one month": { from: `${day.slice(0, 8)}01`, to: `${day.slice(0, 8)}31`, limit },
    "model, verdict and half of the time": { model: middle.unit_model, verdict: "fail", from: day, limit },
    "text, three parts of words": { text: "keg technic hc-", limit },
    "text, one run": { text: middle.run_id.slice(4), limit },
    "text that is nowhere": { text: "no such word", limit },
    "text in old runs of a rare customer": { text: "g-1 boiler", limit },
    "trace a reference forward, 2000 runs": { reference: "G-2" },
    "trace its certificate forward, 2000 runs": { reference: "G-2-2026" },
    "trace a reference of every run, one month": {
      reference: "M-7",
      from: `${day.slice(0, 8)}01`,
      to: `${day.slice(0, 8)}31`,
    },
  };
  for (const [name, criteria] of Object.entries(searches)) {
    await timed(name, async () => (await findRuns(db, criteria)).runs.length);
  }
  const due = async (until?: string): Promise<number> => (await storeSource(db).dueRows(until)).length;
  // The newest run is as of now: its unit is due half a year later.
  const [last] = (await findRuns(db, { limit: 1 })).runs;
  const now = Date.parse(last?.started_utc ?? "");
  const day90 = new Date(now + 90 * 86_400_000).toISOString().slice(0, 10);
  await timed("due list, up to 90 days ahead", () => due(day90));
  await timed("due list, everything", () => due());
};

const bench = async (folder: string): Promise<void> => {
  const path = join(folder, "records.sqlite");
  const file = openSqlite(path);
  const writing = queriesOver(file);
  await migrate(writing, "sqlite");
  file.exec("pragma synchronous = off");
  await fill(writing, benchRuns, eventsOfRun, 400);
  await writing.destroy();
  say(`SQLite: ${benchRuns} runs, ${benchRuns * eventsOfRun} events, ${(statSync(path).size / 1e6).toFixed(0)} MB`);
  const begun = performance.now();
  const opened = await openBenchRecords(path, "read");
  if (!opened.ok) throw new Error(opened.fault.message);
  await opened.value.db.selectFrom("runs").select("run_id").limit(1).execute();
  say(`  opened, with a first row, in ${(performance.now() - begun).toFixed(1)} ms`);
  await measure(opened.value.db, benchRuns);
  await opened.value.close();
};

const shared = async (): Promise<void> => {
  const cluster = await startCluster();
  try {
    const shop = await openShop(cluster, "brewery", { benches: ["cellar"], readers: ["office"] });
    await withPassword(shop.password("cellar"), async () => {
      const { db, close } = openShared(shop.address("cellar"));
      const begun = performance.now();
      await fill(db, sharedRuns, 1, 100);
      say(
        `PostgreSQL: ${sharedRuns} runs, added in ${((performance.now() - begun) / 1e3).toFixed(0)} s, each with its chain checked there`,
      );
      await close();
    });
    await cluster.admin("vacuum analyze", "brewery");
    await withPassword(shop.password("office"), async () => {
      const { db, close } = openShared(shop.address("office"));
      await measure(db, sharedRuns);
      await close();
    });
    shop.remove();
  } finally {
    await cluster.remove();
  }
};

const folder = mkdtempSync(join(tmpdir(), "stillpoint-finding-"));
try {
  if (benchRuns > 0) await bench(folder);
  if (sharedRuns > 0) await shared();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
