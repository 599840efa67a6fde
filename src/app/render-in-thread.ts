import { Worker } from "node:worker_threads";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";
import type { PdfTask } from "./pdf-thread.ts";

/** Built, the thread is plain JavaScript; from the sources it needs the loader for them, and says so itself. */
const threadOf = (task: PdfTask): Worker => {
  if (!import.meta.url.endsWith(".ts"))
    return new Worker(new URL("./pdf-thread.js", import.meta.url), { workerData: task });
  const source = new URL("./pdf-thread.ts", import.meta.url).href;
  const begin = `import("tsx/esm/api").then(({ register }) => { register(); return import(${JSON.stringify(source)}); });`;
  return new Worker(begin, { eval: true, execArgv: [], workerData: task });
};

/** Draws a certificate in a thread, so that the sampling loop of a run that goes on beside it is not held up. */
export const renderInThread = (task: PdfTask): Promise<Result<Uint8Array, Fault>> => {
  return new Promise((resolve) => {
    const broken = (why: string): void =>
      resolve(
        err(
          fault("record", "internal", `The certificate could not be drawn: ${why}.`, {
            means: "The record is whole; only the document is missing.",
            remedy: "Make it again with: stillpoint certify RECORD.",
          }),
        ),
      );
    const worker = threadOf(task);
    worker.once("message", (result: Result<Uint8Array, Fault>) => resolve(result));
    worker.once("error", (error: unknown) => broken(error instanceof Error ? error.message : String(error)));
    worker.once("exit", (code) => broken(`its thread ended with ${code}`));
  });
};
