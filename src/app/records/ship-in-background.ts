import { spawn } from "node:child_process";

/** Shipping by a process of its own: the bench never waits for it, and it goes on when the bench's program has ended. */
export interface BackgroundShipping {
  /** One line on how it stands, and no more listening to it. */
  leave(): string;
}

/** `program` is this program as it was started. The password stays in the environment, where `ship` takes it from. */
export const shipInBackground = (program: string, records: string, address: string): BackgroundShipping => {
  // The program itself, however it was started: built, or from its sources with a loader in execArgv.
  const child = spawn(
    process.execPath,
    [...process.execArgv, program, "ship", "--records", records, "--database", address],
    { stdio: ["ignore", "ignore", "pipe"], detached: true, windowsHide: true },
  );
  child.unref();
  let said = "";
  let ended: number | string | null = null;
  child.stderr.on("data", (chunk: Buffer) => {
    said += chunk.toString("utf8");
  });
  child.once("error", (error) => {
    ended = error.message;
  });
  child.once("exit", (code, signal) => {
    ended = code ?? signal;
  });
  return {
    leave: () => {
      child.stderr.destroy();
      if (ended === 0) return "Sent to the shared database.";
      if (ended === null)
        return "Being sent to the shared database in the background; stillpoint ship tells how it went.";
      const why = said.split("\n")[0]?.replace(/^stillpoint: /u, "") ?? "";
      return `Not sent to the shared database yet: ${why === "" ? `it ended with ${ended}` : why} It waits on this bench.`;
    },
  };
};
