import { type MessagePort, parentPort, receiveMessageOnPort, workerData } from "node:worker_threads";
import type { Fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { openRecords } from "./open-records.ts";
import type { Append, CallResults, Order, ThreadTask, Told } from "./records-order.ts";
import type { SqliteRecords } from "./sqlite-records.ts";

/** Runs in a thread of its own: a commit waits for the disk, and can hold a loop for more than 100 ms. */

/** Events that came while a commit was going on are taken together by the next one. */
const MOST_AT_ONCE = 64;

const serve = (port: MessagePort, records: SqliteRecords): void => {
  /** Runs that can no longer be kept: nothing more is written of them, so that none of their events is missing in between. */
  const failed = new Map<string, Fault>();
  let queue: Order[] = [];
  const tell = (told: Told): void => port.postMessage(told);

  const append = ({ run_id }: Append, bodies: readonly string[]): void => {
    if (failed.has(run_id)) return;
    const done = records.append(run_id, bodies);
    if (!done.ok) failed.set(run_id, done.fault);
    tell(done.ok ? { told: "kept", run_id, upTo: done.value } : { told: "trouble", run_id, fault: done.fault });
  };

  const answer = (order: Exclude<Order, Append>): Result<CallResults[keyof CallResults], Fault> => {
    if (order.do === "close") {
      records.close();
      return ok(null);
    }
    const fault = failed.get(order.run_id);
    if (fault !== undefined) return err(fault);
    switch (order.do) {
      case "begin":
        return records.begin(order.run_id, order.station);
      case "resume":
        return records.resume(order.run_id);
      case "settle":
        // What was queued before was written before.
        return records.append(order.run_id, []);
      case "finish":
        return records.finish(order.run_id, order.summary, order.key);
    }
  };

  const work = (): void => {
    while (queue.length > 0) {
      const [first] = queue;
      if (first === undefined) return;
      if (first.do === "append") {
        const same = queue.findIndex((order) => order.do !== "append" || order.run_id !== first.run_id);
        const count = Math.min(same === -1 ? queue.length : same, MOST_AT_ONCE);
        const taken = queue.slice(0, count);
        queue = queue.slice(count);
        append(
          first,
          taken.flatMap((order) => (order.do === "append" ? [order.body] : [])),
        );
      } else {
        queue = queue.slice(1);
        tell({ told: "answer", id: first.id, result: answer(first) });
        if (first.do === "close") {
          port.close();
          return;
        }
      }
      drain();
    }
  };

  const drain = (): void => {
    for (let more = receiveMessageOnPort(port); more !== undefined; more = receiveMessageOnPort(port)) {
      queue.push(more.message as Order);
    }
  };

  port.on("message", (order: Order) => {
    queue.push(order);
    drain();
    work();
  });
};

const begin = async (port: MessagePort, { path, bench }: ThreadTask): Promise<void> => {
  const opened = await openRecords(path, { bench });
  port.postMessage({
    told: "opened",
    result: opened.ok ? ok({ bench_id: opened.value.bench_id }) : opened,
  } satisfies Told);
  if (opened.ok) serve(port, opened.value);
};

if (parentPort !== null) await begin(parentPort, workerData as ThreadTask);
