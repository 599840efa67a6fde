import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";
import type { PdfAnswer, PdfOrder, PdfTask } from "./pdf-thread.ts";

/** Built, the thread is plain JavaScript; from the sources it needs the loader for them, and says so itself. */
const startThread = (): Worker => {
  if (!import.meta.url.endsWith(".ts")) return new Worker(new URL("./pdf-thread.js", import.meta.url));
  const source = new URL("./pdf-thread.ts", import.meta.url).href;
  // Found from here: code that is handed over as text would look for it from the folder the program was called in.
  const tsx = dirname(createRequire(import.meta.url).resolve("tsx/package.json"));
  const loader = pathToFileURL(join(tsx, "dist/esm/api/index.mjs")).href;
  const begin = `import(${JSON.stringify(loader)}).then(({ register }) => { register(); return import(${JSON.stringify(source)}); });`;
  return new Worker(begin, { eval: true, execArgv: [] });
};

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
  const started = startThread();
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
