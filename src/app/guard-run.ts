import type { WiredJob } from "./wired-job.ts";

export interface GuardOptions {
  readonly say: (line: string) => void;
  /** Ends the program. */
  readonly exit: (code: number) => void;
  readonly codes: { readonly interrupted: number; readonly failed: number };
}

export interface RunGuard {
  /** The signal that stopped the run; null while there was none. */
  readonly stoppedBy: NodeJS.Signals | null;
  /** Call when the source has been left: from then on signals and errors find the program as they always do. */
  release(): void;
}

/**
 * Watches over a run that drives an output. Ctrl-C and SIGTERM stop it and make the source safe; a second signal leaves
 * at once and says so. An error of the program makes the source safe before it ends the program.
 */
export const guardRun = (running: Pick<WiredJob, "stop" | "emergency">, options: GuardOptions): RunGuard => {
  const { say, exit, codes } = options;
  let stoppedBy: NodeJS.Signals | null = null;
  let isBroken = false;
  const stop = (signal: NodeJS.Signals): void => {
    if (stoppedBy !== null || isBroken) {
      say("stillpoint: left at once; the outputs are as they were. Shut the supply and check the source.");
      exit(codes.interrupted);
      return;
    }
    stoppedBy = signal;
    say("Stopping: the source is being made safe.");
    running.stop();
  };
  const broken = (error: unknown): void => {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    say(`stillpoint: unexpected trouble, please report it: ${text}`);
    // Errors that follow from the first one must not end the program before the source is safe.
    if (isBroken) return;
    isBroken = true;
    running.emergency().then(
      (left) => {
        say(left);
        exit(codes.failed);
      },
      (why: unknown) => {
        say(`How the source was left is not known: ${String(why)}. Shut the supply and switch the source off by hand.`);
        exit(codes.failed);
      },
    );
  };
  process.on("SIGINT", stop);
  process.on("SIGTERM", stop);
  process.on("uncaughtException", broken);
  process.on("unhandledRejection", broken);
  return {
    get stoppedBy() {
      return stoppedBy;
    },
    release: () => {
      process.off("SIGINT", stop);
      process.off("SIGTERM", stop);
      process.off("uncaughtException", broken);
      process.off("unhandledRejection", broken);
    },
  };
};
