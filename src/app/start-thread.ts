import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { Worker } from "node:worker_threads";

/**
 * Starts a file of ours as a thread; `from` is the `import.meta.url` of the caller, `file` its neighbour (`./x-thread.ts`).
 * Built, the thread is plain JavaScript; from the sources it needs the loader for them, and says so itself.
 */
export const startThread = (from: string, file: string, workerData?: unknown): Worker => {
  if (!from.endsWith(".ts")) return new Worker(new URL(file.replace(/\.ts$/u, ".js"), from), { workerData });
  const source = new URL(file, from).href;
  // Found from here: code that is handed over as text would look for it from the folder the program was called in.
  const tsx = dirname(createRequire(import.meta.url).resolve("tsx/package.json"));
  const loader = pathToFileURL(join(tsx, "dist/esm/api/index.mjs")).href;
  const begin = `import(${JSON.stringify(loader)}).then(({ register }) => { register(); return import(${JSON.stringify(source)}); });`;
  return new Worker(begin, { eval: true, execArgv: [], workerData });
};
