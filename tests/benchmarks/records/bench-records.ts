import { createHash } from "node:crypto";
import { existsSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { performance } from "node:perf_hooks";
import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import { proveStore } from "../../../src/app/records/prove-store.ts";
import { openRecordStore } from "../../../src/app/records/record-store.ts";
import { closeSqlite, openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { runVirtualJob } from "../../../src/app/virtual-job.ts";
import { must, practiceJob } from "../../app/practice-job.ts";
import { smallSummary } from "../../app/records/small-store.ts";

/**
 * Speed of the record store.
 *
 *   npm run bench:records                    appending, opening and proving, 20,000 events
 *   npm run bench:records -- 1000000         as many events
 *   npm run bench:records -- 1000000 KEEP    keeps the store in the folder KEEP, and uses it again
 *
 * Events are those of a practice run, with the bytes of each sample beside it as over a line.
 */

const [wanted = "20000", keep] = process.argv.slice(2);
const EVENTS = Number(wanted);
const say = (text: string): void => {
  process.stdout.write(`${text}\n`);
};
const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
const seconds = async (work: () => unknown): Promise<number> => {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
};

const folder = keep ?? mkdtempSync(join(tmpdir(), "stillpoint-bench-records-"));

/** Bodies of one run of the practice bench; `RUN` stands where its name belongs. */
const practiceBodies = async (): Promise<readonly string[]> => {
  const bodies: string[] = [];
  const put = (line: string): null => {
    const recorded = JSON.parse(line) as { event: { samples?: { at_s: number[]; raw?: string[] } } };
    const { samples } = recorded.event;
    if (samples !== undefined)
      samples.raw = samples.at_s.map((_, i) => `02040841ae3d7100000747${(i % 256).toString(16).padStart(4, "0")}`);
    bodies.push(canonicalJson(recorded));
    return null;
  };
  must(await runVirtualJob(practiceJob(), { run_id: "RUN", utc_zero_ms: Date.UTC(2031, 2, 4), keep: put }));
  return bodies;
};

const appending = async (bodies: readonly string[]): Promise<void> => {
  const ROUNDS = 9;
  const PER_ROUND = Math.min(bodies.length, 100);
  const bare = openSqlite(join(folder, "bare.sqlite"));
  bare.exec(
    "create table if not exists events (run_id text not null, seq integer not null, body text not null, hash text not null, primary key (run_id, seq)) strict, without rowid",
  );
  const insert = bare.prepare("insert into events (run_id, seq, body, hash) values (?, ?, ?, ?)");
  const records = must(await openRecords(join(folder, "ours.sqlite"), { bench: "bench" }));
  const thread = must(await openRecordStore(join(folder, "thread.sqlite"), { bench: "bench" }));
  const rates: Record<"bare" | "ours" | "thread", number[]> = { bare: [], ours: [], thread: [] };
  for (let round = 0; round < ROUNDS; round += 1) {
    const run_id = `run-${Date.now()}-${round}`;
    const some = bodies.slice(0, PER_ROUND).map((b) => b.replaceAll("RUN", run_id));
    must(records.begin(run_id, "station"));
    const recorder = must(await thread.begin({ run_id, station: "station" }));
    const works = {
      bare: () => {
        for (const [i, body] of some.entries()) insert.run(run_id, i + 1, body, EMPTY_HEAD);
      },
      ours: () => {
        for (const body of some) must(records.append(run_id, [body]));
      },
      thread: async () => {
        for (const body of some) recorder.append(body);
        must(await recorder.settled());
      },
    };
    // Interleaved, each round in another order: what else the machine does meets all alike.
    const names = (["bare", "ours", "thread"] as const).toSorted(
      (a, b) => ((a.length * 7 + round) % 3) - ((b.length * 7 + round) % 3),
    );
    for (const name of names) rates[name].push(PER_ROUND / (await seconds(works[name])));
  }
  const [b, o, t] = [median(rates.bare), median(rates.ours), median(rates.thread)];
  say(
    `append, full sync, one event a commit: ${o.toFixed(0)}/s; bare insert of the same: ${b.toFixed(0)}/s; ratio ${(o / b).toFixed(2)} (wanted 0.9)`,
  );
  say(`append through the thread, as a run does: ${t.toFixed(0)}/s; ratio ${(t / b).toFixed(2)}`);
  closeSqlite(bare);
  records.close();
  await thread.close();
};

/** A store of so many events, filled past the program for speed; its chains are as the program makes them. */
const filled = async (path: string, bodies: readonly string[]): Promise<void> => {
  if (existsSync(path)) return;
  const records = must(await openRecords(path, { bench: "bench" }));
  const file = openSqlite(path);
  file.exec("pragma synchronous = off");
  const insert = file.prepare("insert into events (run_id, seq, body, hash) values (?, ?, ?, ?)");
  for (let run = 0; run * bodies.length < EVENTS; run += 1) {
    const run_id = `20310304-0730-${String(run).padStart(6, "0")}`;
    must(records.begin(run_id, "station"));
    file.exec("begin");
    let head = EMPTY_HEAD;
    for (const [i, body] of bodies.entries()) {
      const own = i === 0 ? body.replaceAll("RUN", run_id) : body;
      head = nextHead(head, own);
      insert.run(run_id, i + 1, own, head);
    }
    file.exec("commit");
    must(records.finish(run_id, smallSummary(run_id)));
  }
  closeSqlite(file);
  records.close();
};

const proving = async (bodies: readonly string[]): Promise<void> => {
  const path = join(folder, `events-${EVENTS}.sqlite`);
  say(
    `making ${EVENTS} events took ${(await seconds(() => filled(path, bodies))).toFixed(0)} s; ${(statSync(path).size / 1e6).toFixed(0)} MB`,
  );
  const opens: number[] = [];
  for (let i = 0; i < 5; i += 1) {
    opens.push(
      await seconds(async () => {
        must(await openRecords(path, { bench: "bench" })).close();
      }),
    );
  }
  say(`open: ${median(opens).toFixed(3)} s (wanted below 0.3)`);
  const total = Math.ceil(EVENTS / bodies.length) * bodies.length;
  const pieces = bodies.map((b) => Buffer.from(b));
  const stream = (): void => {
    const hash = createHash("sha256");
    for (let n = 0; n < total; n += 1) hash.update(pieces[n % pieces.length] ?? "");
    hash.digest("hex");
  };
  const each = (): void => {
    for (let n = 0; n < total; n += 1)
      createHash("sha256")
        .update(pieces[n % pieces.length] ?? "")
        .digest("hex");
  };
  const times: Record<string, number[]> = { stream: [], each: [], all: [], one: [] };
  let proof = await proveStore(path);
  for (let round = 0; round < 3; round += 1) {
    times["stream"]?.push(await seconds(stream));
    times["each"]?.push(await seconds(each));
    times["all"]?.push(
      await seconds(async () => {
        proof = await proveStore(path);
      }),
    );
    times["one"]?.push(await seconds(() => proveStore(path, { threads: 0 })));
  }
  const [s, e, all, one] = ["stream", "each", "all", "one"].map((name) => median(times[name] ?? [])) as [
    number,
    number,
    number,
    number,
  ];
  say(
    `bytes of events: ${(proof.bytes / 1e6).toFixed(0)} MB in ${proof.events} events, findings: ${proof.findings.length}`,
  );
  say(`bare SHA-256 of the same bytes: ${s.toFixed(2)} s in one stream, ${e.toFixed(2)} s event by event`);
  say(`full proof: ${all.toFixed(2)} s on all cores, ${one.toFixed(2)} s on one`);
  say(
    `ratio, all cores: ${(s / all).toFixed(2)} of one stream, ${(e / all).toFixed(2)} of event by event (wanted 0.5)`,
  );
  say(`ratio, one core: ${(s / one).toFixed(2)} of one stream, ${(e / one).toFixed(2)} of event by event`);
};

const bodies = await practiceBodies();
say(`a run: ${bodies.length} events, ${(bodies.join("").length / bodies.length).toFixed(0)} bytes each on average`);
try {
  await appending(bodies);
  await proving(bodies);
} finally {
  if (keep === undefined) rmSync(folder, { recursive: true, force: true });
}
