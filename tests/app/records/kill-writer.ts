import { spawn } from "node:child_process";
import { setTimeout as pause } from "node:timers/promises";

export interface Killed {
  /** Whole lines that it had said. */
  readonly lines: readonly string[];
  /** It had come to its end, or fallen, before it was killed. */
  readonly code: number | null;
}

export interface KillWishes {
  /** The clock for the kill starts when a line begins with this word; from the start of the process without one. */
  readonly after?: string;
  /** Time until it is killed, ms. */
  readonly wait_ms: number;
  readonly env?: NodeJS.ProcessEnv;
  readonly cwd?: string;
}

/** Starts a program, kills it with SIGKILL at a moment, and gives what it had said until then. */
export const killedAt = (command: string, args: readonly string[], wishes: KillWishes): Promise<Killed> =>
  new Promise((resolve, reject) => {
    const child = spawn(command, args, {
      stdio: ["ignore", "pipe", "inherit"],
      env: { ...process.env, ...wishes.env },
      ...(wishes.cwd === undefined ? {} : { cwd: wishes.cwd }),
    });
    let said = "";
    let timed = false;
    const time = (): void => {
      if (timed) return;
      timed = true;
      pause(wishes.wait_ms).then(() => child.kill("SIGKILL"), reject);
    };
    child.stdout.setEncoding("utf8");
    child.stdout.on("data", (text: string) => {
      said += text;
      if (wishes.after !== undefined && said.split("\n").some((line) => line.startsWith(wishes.after ?? ""))) time();
    });
    if (wishes.after === undefined) time();
    child.on("error", reject);
    // After the last of its output.
    child.on("close", (code) => resolve({ lines: said.split("\n").slice(0, -1), code }));
  });

/** Park and Miller's minimal standard generator, 0 to 1: the same moments in every run of a test. */
export const minimalStandard = (seed: number): (() => number) => {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
};
