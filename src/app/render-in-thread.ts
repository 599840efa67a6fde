import { Worker } from "node:worker_threads";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";
import type { PdfTask } from "./pdf-thread.ts";

/** Draws a certificate in a thread, so that the sampling loop of a run that goes on beside it is not held up. */
export const renderInThread = (task: PdfTask): Promise<Result<Uint8Array, Fault>> => {
  // From the sources the thread needs the loader that the main thread runs under; built, it is plain JavaScript.
  const fromSource = import.meta.url.endsWith(".ts");
  const file = new URL(fromSource ? "./pdf-thread.ts" : "./pdf-thread.js", import.meta.url);
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
    const worker = new Worker(file, { workerData: task, ...(fromSource ? { execArgv: ["--import", "tsx"] } : {}) });
    worker.once("message", (result: Result<Uint8Array, Fault>) => resolve(result));
    worker.once("error", (error: unknown) => broken(error instanceof Error ? error.message : String(error)));
    worker.once("exit", (code) => broken(`its thread ended with ${code}`));
  });
};
