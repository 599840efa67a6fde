import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { PACKAGE_ROOT, shipped } from "../../../src/app/package-root.ts";
import { openRecords } from "../../../src/app/records/open-records.ts";
import { closeSqlite, openSqlite } from "../../../src/app/records/sqlite-file.ts";
import { decodeRecord } from "../../../src/readings/record-codec.ts";
import type { RecordedEvent } from "../../../src/readings/run-event.ts";
import { faultText } from "../../../src/vocabulary/fault.ts";
import type { Result } from "../../../src/vocabulary/result.ts";

/**
 * A calibration on the virtual clock in a process of its own, killed (SIGKILL) at a random moment of its life, resumed,
 * now and then killed again, and compared with a run that nobody disturbed: `npm run bench:kills -- --count 300`.
 */
const CLI = join(PACKAGE_ROOT, "dist/src/cli/main.js");

const must = <T>(result: Result<T, Parameters<typeof faultText>[0]>): T => {
  if (!result.ok) throw new Error(faultText(result.fault));
  return result.value;
};

const sleep = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

interface Ended {
  readonly code: number | null;
  readonly took_ms: number;
  readonly said: string;
}

/** Runs the program; `kill_ms` after the store is there it is killed. */
const program = async (args: readonly string[], folder: string, kill_ms: number | null): Promise<Ended> => {
  const child = spawn(process.execPath, [CLI, ...args, "--output", folder, "--yes", "--no-input"], {
    cwd: PACKAGE_ROOT,
    stdio: ["ignore", "ignore", "pipe"],
  });
  let said = "";
  child.stderr.on("data", (chunk: Buffer) => {
    said += chunk.toString("utf8");
  });
  const ended = new Promise<number | null>((resolve) => child.once("close", resolve));
  const store = join(folder, "records.sqlite");
  while (!existsSync(store) && child.exitCode === null) await sleep(5);
  const begun = performance.now();
  if (kill_ms !== null) {
    await Promise.race([sleep(kill_ms), ended]);
    if (child.exitCode === null) child.kill("SIGKILL");
  }
  const code = await ended;
  return { code, took_ms: performance.now() - begun, said };
};

const CALIBRATE = [
  "calibrate",
  ...["--bench", shipped("bench-configs", "simulated-serial.yaml")],
  ...["--unit", shipped("bench-configs", "ip-3-15-psi.yaml")],
  ...["--clock", "virtual", "--operator", "A. Technician"],
];
const RESUME = ["resume", "--touched", "nothing"];

interface Kept {
  readonly open: readonly string[];
  readonly events: readonly RecordedEvent[];
}

/** Opening looks at every page and walks the chain of the newest run; decoding refuses a gap. */
const kept = async (folder: string): Promise<Kept | null> => {
  const store = join(folder, "records.sqlite");
  if (!existsSync(store)) return null;
  const records = must(await openRecords(store, { bench: "" }));
  try {
    const open = must(records.openRuns());
    const run_id = open[0] ?? closedRun(store);
    if (run_id === undefined) return { open, events: [] };
    const bodies = must(records.bodies(run_id));
    return { open, events: bodies.length === 0 ? [] : must(decodeRecord(`${bodies.join("\n")}\n`)).events };
  } finally {
    records.close();
  }
};

/** The run that was closed in the store, whether or not its papers were made. */
const closedRun = (store: string): string | undefined => {
  const file = openSqlite(store, "read");
  try {
    return (file.prepare("select run_id from runs limit 1").get() as { readonly run_id: string } | undefined)?.run_id;
  } finally {
    closeSqlite(file);
  }
};

/** What must come out the same: everything that was measured and done, with its time on the run's clock. */
const measured = (events: readonly RecordedEvent[]): string =>
  JSON.stringify(
    events
      .filter(({ event }) => !["run-started", "run-resumed", "preflight-check"].includes(event.kind))
      .map(({ at_s, event }) => [at_s, event]),
  );

/** The data of the certificate without its number, its instants and its remarks on the course of the run. */
const figuresOf = (folder: string): string | null => {
  const file = readdirSync(folder).find((name) => name.endsWith(".xml"));
  if (file === undefined) return null;
  const xml = readFileSync(join(folder, file), "utf8");
  return (
    xml.match(/<si:value(?:XMLList)?>[^<]*<\/si:value(?:XMLList)?>|<si:[a-zA-Z]*MU[a-zA-Z]*>[^<]*</gu) ?? []
  ).join("");
};

export interface KillCount {
  kills: number;
  /** Kills of a program that was going on with a run. */
  again: number;
  before_first_event: number;
  while_running: number;
  after_the_run: number;
  lost_events: number;
  invented_events: number;
  not_resumed: number;
  different: number;
  readonly wrong: string[];
}

const sameBefore = (now: readonly RecordedEvent[], before: readonly RecordedEvent[]): boolean =>
  JSON.stringify(now.slice(0, before.length)) === JSON.stringify(before);

export const killRuns = async (count: number, random: () => number, done: (n: number) => void): Promise<KillCount> => {
  const root = mkdtempSync(join(tmpdir(), "stillpoint-kills-"));
  const counted: KillCount = {
    kills: 0,
    again: 0,
    before_first_event: 0,
    while_running: 0,
    after_the_run: 0,
    lost_events: 0,
    invented_events: 0,
    not_resumed: 0,
    different: 0,
    wrong: [],
  };
  try {
    const calm = mkdtempSync(join(root, "calm-"));
    const undisturbed = await program(CALIBRATE, calm, null);
    const reference = await kept(calm);
    if (reference === null || reference.events.length === 0)
      throw new Error(`no run to compare with: ${undisturbed.said}`);
    const wanted = measured(reference.events);
    const figures = figuresOf(calm);
    for (let n = 0; n < count; n += 1) {
      const folder = mkdtempSync(join(root, "run-"));
      let args: readonly string[] = CALIBRATE;
      let before: readonly RecordedEvent[] = [];
      for (let going = true; going; ) {
        const kill = args === CALIBRATE || random() < 0.3;
        const ended = await program(args, folder, kill ? random() * undisturbed.took_ms * 1.05 : null);
        const killed = ended.code === null;
        counted.kills += killed ? 1 : 0;
        counted.again += killed && args !== CALIBRATE ? 1 : 0;
        const state = await kept(folder);
        if (state === null) {
          counted.before_first_event += 1;
          break;
        }
        if (!sameBefore(state.events, before)) {
          counted.lost_events += 1;
          counted.wrong.push(`${folder}: what was kept before is not there any more`);
        }
        before = state.events;
        if (state.open.length === 0) {
          if (state.events.length === 0) counted.before_first_event += 1;
          else if (killed) counted.after_the_run += 1;
          if (state.events.length > 0 && measured(state.events) !== wanted) {
            counted.different += 1;
            counted.wrong.push(`${folder}: the run is not that of the undisturbed one`);
          }
          const own = figuresOf(folder);
          if (own !== null && own !== figures) {
            counted.different += 1;
            counted.wrong.push(`${folder}: the certificate has other figures`);
          }
          going = false;
        } else if (!killed) {
          counted.not_resumed += 1;
          counted.wrong.push(`${folder}: exit ${ended.code}: ${ended.said.slice(-400)}`);
          going = false;
        } else {
          counted.while_running += 1;
          const shorter = measured(state.events);
          if (!wanted.startsWith(shorter.slice(0, -1)) && state.events.length > 0 && !hasResumed(state.events)) {
            counted.invented_events += 1;
            counted.wrong.push(`${folder}: an event that the undisturbed run does not have`);
          }
          args = RESUME;
        }
      }
      done(n + 1);
      rmSync(folder, { recursive: true, force: true });
    }
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
  return counted;
};

const hasResumed = (events: readonly RecordedEvent[]): boolean =>
  events.some(({ event }) => event.kind === "run-resumed");

/** Small generator of Park and Miller, so that a count can be repeated as far as the machine allows. */
export const randomFrom = (seed: number): (() => number) => {
  let state = Math.max(1, Math.floor(seed) % 2147483647);
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
};

const main = async (): Promise<void> => {
  const { values } = parseArgs({
    options: { count: { type: "string", default: "300" }, seed: { type: "string", default: "1" } },
  });
  const counted = await killRuns(Number(values.count), randomFrom(Number(values.seed)), (n) => {
    if (n % 10 === 0) process.stderr.write(`${n} runs\n`);
  });
  process.stdout.write(`${JSON.stringify(counted, null, 1)}\n`);
  process.exitCode = counted.wrong.length === 0 ? 0 : 1;
};

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) await main();
