import { type ChildProcess, spawn } from "node:child_process";
import { createRequire } from "node:module";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { PACKAGE_ROOT } from "../../../src/app/package-root.ts";

/** Starts shippers as processes of their own, from one file that was put together beforehand: a start is quick then. */

interface Bundler {
  buildSync(options: Readonly<Record<string, unknown>>): unknown;
}

/** The bundler that the loader of the tests brings along. */
const bundler = (): Bundler => {
  const loader = createRequire(import.meta.url).resolve("tsx/package.json");
  return createRequire(loader)("esbuild") as Bundler;
};

/** Puts the shipper together in `folder`; gives its path. */
export const bundledShipper = (folder: string): string => {
  const outfile = join(folder, "shipper.cjs");
  bundler().buildSync({
    entryPoints: [join(import.meta.dirname, "ship-child.ts")],
    bundle: true,
    platform: "node",
    format: "cjs",
    external: ["libsql", "pg-native"],
    outfile,
  });
  return outfile;
};

export interface Shipper {
  readonly process: ChildProcess;
  /** Settles when it has said that it begins. */
  readonly begun: Promise<void>;
  readonly ended: Promise<number | null>;
  /** Runs that it said went over, and what it complained of. */
  readonly acknowledged: string[];
  readonly said: () => string;
}

export const startShipper = (
  program: string,
  store: string,
  url: string,
  env: Readonly<Record<string, string>>,
): Shipper => {
  const child = spawn(process.execPath, [program, store, url], {
    env: { ...process.env, NODE_PATH: join(PACKAGE_ROOT, "node_modules"), ...env },
    stdio: ["ignore", "pipe", "pipe"],
  });
  const acknowledged: string[] = [];
  let trouble = "";
  child.stderr.on("data", (chunk: Buffer) => {
    trouble += chunk.toString("utf8");
  });
  let begin: () => void = () => {};
  const begun = new Promise<void>((resolve) => {
    begin = resolve;
  });
  createInterface({ input: child.stdout }).on("line", (line) => {
    if (line === "begin") begin();
    else acknowledged.push(line);
  });
  const ended = new Promise<number | null>((resolve) => {
    child.once("close", (code) => {
      begin();
      resolve(code);
    });
  });
  return { process: child, begun, ended, acknowledged, said: () => trouble };
};
