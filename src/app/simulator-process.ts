import { spawn } from "node:child_process";
import { createInterface } from "node:readline";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type Endpoints, parseEndpoints } from "./endpoints.ts";

export interface SimulatorProcess {
  readonly endpoints: Endpoints;
  close(): Promise<void>;
}

const START_WITHIN_MS = 20_000;

/**
 * Starts the simulated bench as a process of its own, so that the run talks to it over bytes and nothing else, and so
 * that the bench outlives the run's last command. It stands in its own process group (Ctrl-C reaches the run alone) and
 * ends when its standard input closes, also when this process was killed.
 */
export const startSimulator = (argv: readonly string[]): Promise<Result<SimulatorProcess, Fault>> => {
  // The program itself, however it was started: built, or from its sources with a loader in execArgv.
  const child = spawn(process.execPath, [...process.execArgv, ...argv], {
    stdio: ["pipe", "pipe", "pipe"],
    detached: process.platform !== "win32",
  });
  const ended = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  // Writing to a child that is gone is no news: its exit tells.
  child.stdin.on("error", () => {});
  let trouble = "";
  child.stderr.on("data", (chunk: Buffer) => {
    trouble += chunk.toString("utf8");
  });
  return new Promise((resolve) => {
    const failed = (why: string): void => {
      clearTimeout(late);
      child.kill();
      resolve(
        err(
          fault("communication", "cannot-open", `The simulated bench did not start: ${trouble.trim() || why}`, {
            means: "Nothing was driven.",
          }),
        ),
      );
    };
    const late = setTimeout(() => failed(`it said nothing for ${START_WITHIN_MS / 1000} s.`), START_WITHIN_MS);
    child.once("error", (error) => failed(error.message));
    child.once("exit", (code) => failed(`it ended with code ${code}.`));
    createInterface({ input: child.stdout }).once("line", (line) => {
      clearTimeout(late);
      const endpoints = parseEndpoints(line, "what the simulated bench said");
      if (!endpoints.ok) return failed(endpoints.fault.message);
      resolve(
        ok({
          endpoints: endpoints.value,
          close: async () => {
            child.stdin.end();
            await ended;
          },
        }),
      );
    });
  });
};
