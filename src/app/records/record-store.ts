import type { ChainHead, RecordStore, RunRecorder } from "../../ports/record-store.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { SigningKey } from "../sign-certificate.ts";
import { startThread } from "../start-thread.ts";
import type { Call, CallResults, Order, ThreadTask, Told } from "./records-order.ts";
import type { RunSummary } from "./run-summary.ts";

export interface StoreOptions {
  /** Name of the bench, for the mark of a new store. */
  readonly bench: string;
  /** Hears at once that a run can no longer be kept. */
  readonly onTrouble?: (f: Fault) => void;
  /** Hears of each commit. */
  readonly onKept?: (run_id: string, upTo: ChainHead) => void;
}

export type LocalStore = RecordStore<RunSummary, SigningKey>;

const lost = (path: string, why: string): Fault =>
  fault("record", "record-write", `The records ${path} could not be written: ${why}.`, {
    means: "Nothing that was acknowledged before is lost; what happened since is not proved.",
    remedy: "Please report this text.",
  });

/** The store of a bench in a SQLite file, served by a thread of its own. Opened or created before anything else is. */
export const openRecordStore = async (path: string, options: StoreOptions): Promise<Result<LocalStore, Fault>> => {
  const thread = startThread(import.meta.url, "./records-thread.ts", {
    path,
    bench: options.bench,
  } satisfies ThreadTask);
  const troubles = new Map<string, Fault>();
  const waiting = new Map<number, (result: Result<CallResults[keyof CallResults], Fault>) => void>();
  let calls = 0;
  let gone: Fault | null = null;
  let tellOpened: (result: Result<{ readonly bench_id: string }, Fault>) => void = () => {};
  const opened = new Promise<Result<{ readonly bench_id: string }, Fault>>((resolve) => {
    tellOpened = resolve;
  });

  const end = (why: string): void => {
    if (gone !== null) return;
    gone = lost(path, why);
    const result = err(gone);
    tellOpened(result);
    if (waiting.size > 0) options.onTrouble?.(gone);
    for (const give of waiting.values()) give(result);
    waiting.clear();
  };

  thread.on("message", (told: Told) => {
    switch (told.told) {
      case "opened":
        return tellOpened(told.result);
      case "kept":
        return options.onKept?.(told.run_id, told.upTo);
      case "trouble":
        troubles.set(told.run_id, told.fault);
        return options.onTrouble?.(told.fault);
      case "answer": {
        const give = waiting.get(told.id);
        waiting.delete(told.id);
        return give?.(told.result);
      }
    }
  });
  thread.on("error", (error: unknown) => end(error instanceof Error ? error.message : String(error)));
  thread.on("exit", () => end("its thread has ended"));

  const call = <C extends Call>(order: C): Promise<Result<CallResults[C["do"]], Fault>> =>
    gone !== null
      ? Promise.resolve(err(gone))
      : new Promise((resolve) => {
          calls += 1;
          waiting.set(calls, (result) => resolve(result as Result<CallResults[C["do"]], Fault>));
          thread.postMessage({ ...order, id: calls } satisfies Order);
        });

  const result = await opened;
  if (!result.ok) {
    await thread.terminate();
    return result;
  }
  const { bench_id } = result.value;

  const recorder = (run_id: string, head: string): RunRecorder => ({
    run_id,
    ledger: { bench_id, head },
    append: (body) => {
      const trouble = gone ?? troubles.get(run_id) ?? null;
      if (trouble === null) thread.postMessage({ do: "append", run_id, body } satisfies Order);
      return trouble;
    },
    settled: () => call({ do: "settle", run_id }),
  });

  let closing: Promise<void> | null = null;
  return ok({
    place: path,
    bench_id,
    begin: async ({ run_id, station }) => {
      const begun = await call({ do: "begin", run_id, station });
      return begun.ok ? ok(recorder(run_id, begun.value)) : begun;
    },
    resume: async (run_id) => {
      const kept = await call({ do: "resume", run_id });
      return kept.ok ? ok({ ...recorder(run_id, kept.value.ledger), bodies: kept.value.bodies }) : kept;
    },
    finish: (run_id, summary, key) => call({ do: "finish", run_id, summary, ...(key === undefined ? {} : { key }) }),
    close: () => {
      closing ??= call({ do: "close" }).then(async () => {
        await thread.terminate();
      });
      return closing;
    },
  });
};
