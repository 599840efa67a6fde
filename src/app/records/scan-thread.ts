import { parentPort, workerData } from "node:worker_threads";
import { scanEvents } from "./scan-events.ts";
import type { ScanTask } from "./scan-in-threads.ts";
import { openSqlite, READ_IN_PLACE } from "./sqlite-file.ts";

/** Runs in a thread of its own: hashes the events of some runs. */

if (parentPort !== null) {
  const { path, from, below } = workerData as ScanTask;
  const file = openSqlite(path, "read");
  file.exec(READ_IN_PLACE);
  parentPort.postMessage(scanEvents(file, from, below));
  file.close();
  parentPort.close();
}
