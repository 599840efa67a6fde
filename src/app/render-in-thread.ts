import type { Worker } from "node:worker_threads";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";
import type { PdfAnswer, PdfOrder, PdfTask } from "./pdf-thread.ts";
import { startThread } from "./start-thread.ts";

const notDrawn = (why: string): Result<never, Fault> =>
  err(
    fault("record", "internal", `The certificate could not be drawn: ${why}.`, {
      means: "The record is whole; only the document is missing.",
      remedy: "Make it again with: stillpoint certify RECORD.",
    }),
  );

type Give = (result: Result<Uint8Array, Fault>) => void;

/** The one thread of this process, and who waits for it. It keeps the process alive only while somebody waits. */
let thread: Worker | null = null;
let orders = 0;
const waiting = new Map<number, Give>();

const lose = (why: string): void => {
  thread = null;
  for (const give of waiting.values()) give(notDrawn(why));
  waiting.clear();
};

const runningThread = (): Worker => {
  if (thread !== null) return thread;
  const started = startThread(import.meta.url, "./pdf-thread.ts");
  thread = started;
  started.on("message", (answer: PdfAnswer) => {
    const give = waiting.get(answer.id);
    waiting.delete(answer.id);
    if (waiting.size === 0) started.unref();
    give?.("result" in answer ? answer.result : notDrawn(answer.broken));
  });
  started.on("error", (error: unknown) => lose(error instanceof Error ? error.message : String(error)));
  started.on("exit", (code) => {
    if (thread === started) lose(`its thread ended with ${code}`);
  });
  return started;
};

/** Draws a certificate in a thread, so that the sampling loop of a run that goes on beside it is not held up. */
export const renderInThread = (task: PdfTask): Promise<Result<Uint8Array, Fault>> =>
  new Promise((resolve) => {
    const worker = runningThread();
    orders += 1;
    waiting.set(orders, resolve);
    worker.ref();
    worker.postMessage({ id: orders, task } satisfies PdfOrder);
  });
