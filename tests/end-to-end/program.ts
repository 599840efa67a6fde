import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll } from "vitest";
import { type Endpoints, parseEndpoints } from "../../src/app/endpoints.ts";
import { PACKAGE_ROOT, shipped } from "../../src/app/package-root.ts";
import { faultText } from "../../src/vocabulary/fault.ts";
import { CLI } from "./build-once.ts";

/** The program as its user starts it: another process, its two streams, its exit code. */
export interface Ended {
  /** null when a signal ended it. */
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly out: string;
  readonly talk: string;
}

export interface Program {
  readonly pid: number;
  readonly ended: Promise<Ended>;
  /** What it has said so far on standard error. */
  talk(): string;
  /** Resolves when standard error shows it; fails when the program ends or the time is over. */
  says(text: RegExp, within_ms?: number): Promise<void>;
  kill(signal: NodeJS.Signals): void;
}

export interface StartOptions {
  readonly node?: string;
  readonly nodeArguments?: readonly string[];
  /** Instead of the command line program. */
  readonly file?: string;
  readonly env?: Readonly<Record<string, string>>;
  /** "hold": standard input stays open; else it is empty and at its end. */
  readonly input?: "hold";
}

const children = new Set<ChildProcess>();
const folders: string[] = [];

// What a test left running ends here, each by its own number.
afterAll(() => {
  for (const child of children) child.kill("SIGKILL");
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
});

export const temporaryFolder = (): string => {
  const folder = mkdtempSync(join(tmpdir(), "stillpoint-test-"));
  folders.push(folder);
  return folder;
};

export const start = (args: readonly string[], options: StartOptions = {}): Program => {
  const { NO_COLOR: _noColour, FORCE_COLOR: _colour, ...environment } = process.env;
  const child = spawn(
    options.node ?? process.execPath,
    [...(options.nodeArguments ?? []), options.file ?? CLI, ...args],
    {
      cwd: PACKAGE_ROOT,
      env: { ...environment, ...options.env },
      stdio: [options.input === "hold" ? "pipe" : "ignore", "pipe", "pipe"],
    },
  );
  children.add(child);
  let out = "";
  let talk = "";
  const waiting = new Set<() => void>();
  child.stdout?.on("data", (chunk: Buffer) => {
    out += chunk.toString("utf8");
  });
  child.stderr?.on("data", (chunk: Buffer) => {
    talk += chunk.toString("utf8");
    for (const look of waiting) look();
  });
  const ended = new Promise<Ended>((resolve, reject) => {
    child.once("error", reject);
    child.once("close", (code, signal) => {
      children.delete(child);
      resolve({ code, signal, out, talk });
    });
  });
  return {
    pid: child.pid ?? 0,
    ended,
    talk: () => talk,
    says: (text, within_ms = 20_000) =>
      new Promise((resolve, reject) => {
        const done = (error?: Error): void => {
          waiting.delete(look);
          clearTimeout(late);
          if (error === undefined) resolve();
          else reject(error);
        };
        const look = (): void => {
          if (text.test(talk)) done();
        };
        const late = setTimeout(() => done(new Error(`no ${text} within ${within_ms} ms in:\n${talk}`)), within_ms);
        waiting.add(look);
        ended.then(
          () => done(text.test(talk) ? undefined : new Error(`ended without ${text}:\n${talk}`)),
          (error: unknown) => done(error instanceof Error ? error : new Error(String(error))),
        );
        look();
      }),
    kill: (signal) => void child.kill(signal),
  };
};

export const run = (args: readonly string[], options: StartOptions = {}): Promise<Ended> => start(args, options).ended;

export const benchFile = (name: string): string => shipped("bench-configs", `${name}.yaml`);

/** Starts a simulated bench as a process of its own; it ends with the test file. */
export const startSimulator = async (
  bench: string,
  factor: number,
): Promise<{ readonly endpoints: Endpoints; readonly file: string }> => {
  const file = join(temporaryFolder(), "endpoints.json");
  const args = ["simulate", "--bench", benchFile(bench), "--factor", String(factor), "--endpoints", file, "--attached"];
  const child = spawn(process.execPath, [CLI, ...args, "--json"], {
    cwd: PACKAGE_ROOT,
    stdio: ["pipe", "pipe", "inherit"],
  });
  children.add(child);
  const line = await new Promise<string>((resolve, reject) => {
    let text = "";
    child.stdout?.on("data", (chunk: Buffer) => {
      text += chunk.toString("utf8");
      if (text.includes("\n")) resolve(text.slice(0, text.indexOf("\n")));
    });
    child.once("error", reject);
    child.once("exit", (code) => reject(new Error(`the simulated bench ended with ${code}: ${text}`)));
  });
  const endpoints = parseEndpoints(line, "the simulated bench");
  if (!endpoints.ok) throw new Error(faultText(endpoints.fault));
  return { endpoints: endpoints.value, file };
};
