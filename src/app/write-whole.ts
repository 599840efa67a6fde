import { link, mkdir, open, rename, rm } from "node:fs/promises";
import { dirname, join } from "node:path";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/**
 * Writes a file whole or not at all: to a temporary name, synced, then given its own. An existing file is never written
 * over; `replace` is for what can be made again, such as a draft.
 */
export const writeWhole = async (
  path: string,
  bytes: Uint8Array | string,
  existing: "keep" | "replace" = "keep",
  /** Permissions, where the system has them; a secret is for its owner alone. */
  mode = 0o666,
): Promise<Result<string, Fault>> => {
  const temporary = join(dirname(path), `.${process.pid}-${Math.random().toString(36).slice(2)}.part`);
  try {
    await mkdir(dirname(path), { recursive: true });
    const handle = await open(temporary, "wx", mode);
    try {
      await handle.writeFile(bytes);
      await handle.sync();
    } finally {
      await handle.close();
    }
    if (existing === "replace") await rename(temporary, path);
    else {
      // A hard link fails when the name is taken, where a rename would write over it.
      await link(temporary, path);
      await rm(temporary);
    }
    return ok(path);
  } catch (error) {
    await rm(temporary, { force: true });
    return err(
      fault(
        "record",
        "record-write",
        `${path} could not be written: ${error instanceof Error ? error.message : String(error)}.`,
        {
          means: "Nothing half-written was left behind.",
          remedy: "Choose another folder with --output, or move the file that is there.",
        },
      ),
    );
  }
};
