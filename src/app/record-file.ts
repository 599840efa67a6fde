import { type FileHandle, mkdir, open } from "node:fs/promises";
import { dirname } from "node:path";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/**
 * An append-only file of lines. Lines are written in order, each synced to disk before the next, away from the sampling
 * loop: `append` only queues. A write that fails is kept and told by `close` and by `onTrouble` at once.
 */
export interface RecordFile {
  readonly path: string;
  /** Gives the fault of an earlier write, after which nothing more is written. */
  append(line: string): Fault | null;
  /** Waits until all is on disk. */
  close(): Promise<Result<void, Fault>>;
}

export const createRecordFile = async (
  path: string,
  onTrouble: (f: Fault) => void = () => {},
): Promise<Result<RecordFile, Fault>> => {
  const trouble = (what: string, error: unknown): Fault =>
    fault(
      "record",
      "record-write",
      `The record ${path} could not be ${what}: ${error instanceof Error ? error.message : String(error)}.`,
      {
        means: "What happened since then is not proved.",
        remedy: "Free space or choose another folder with --output, then run again.",
      },
    );
  let handle: FileHandle;
  try {
    await mkdir(dirname(path), { recursive: true });
    // "ax": an existing record is never written over.
    handle = await open(path, "ax");
  } catch (error) {
    return err(trouble("created", error));
  }
  let failed: Fault | null = null;
  let queue: Promise<void> = Promise.resolve();
  return ok({
    path,
    append: (line) => {
      queue = queue.then(async () => {
        if (failed !== null) return;
        try {
          await handle.appendFile(`${line}\n`, "utf8");
          await handle.datasync();
        } catch (error) {
          failed = trouble("written", error);
          onTrouble(failed);
        }
      });
      return failed;
    },
    close: async () => {
      await queue;
      try {
        await handle.close();
      } catch (error) {
        failed ??= trouble("closed", error);
      }
      return failed === null ? ok(undefined) : err(failed);
    },
  });
};
