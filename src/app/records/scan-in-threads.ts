import { startThread } from "../start-thread.ts";
import { type EventScan, joinScans, runNames } from "./scan-events.ts";
import type { SqliteFile } from "./sqlite-file.ts";

/** Handed over when a thread is started: runs from one name (included) to another (left out). */
export interface ScanTask {
  readonly path: string;
  readonly from: string;
  /** null: up to the last one. */
  readonly below: string | null;
}

/** Names of runs that part the store in as many pieces of about as many runs. */
const partedBy = (file: SqliteFile, pieces: number): readonly string[] => {
  const runs = runNames(file).map((name) => name.toString("utf8"));
  return Array.from({ length: pieces - 1 }, (_, i) => runs[Math.floor(((i + 1) * runs.length) / pieces)] ?? "").filter(
    (name, i, names) => name !== "" && name !== names[i - 1],
  );
};

const inThread = (task: ScanTask): Promise<EventScan> =>
  new Promise((resolve, reject) => {
    const thread = startThread(import.meta.url, "./scan-thread.ts", task);
    thread.on("message", resolve);
    thread.on("error", reject);
    thread.on("exit", (code) => reject(new Error(`a thread that hashes ended with ${code}`)));
  });

/** All cores hash at once, each its own runs. Throws what SQLite throws. */
export const scanInThreads = async (file: SqliteFile, path: string, threads: number): Promise<EventScan> => {
  const cuts = ["", ...partedBy(file, threads)];
  const tasks = cuts.map((from, i): ScanTask => ({ path, from, below: cuts[i + 1] ?? null }));
  return joinScans(await Promise.all(tasks.map(inThread)));
};
