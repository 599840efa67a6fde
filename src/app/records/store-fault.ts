import { type Fault, fault } from "../../vocabulary/fault.ts";

/** What SQLite says, as a fault that tells what to do. */

const codeOf = (error: unknown): string =>
  typeof error === "object" && error !== null && "code" in error ? String(error.code) : "";

const textOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Result codes come as names, extended (`SQLITE_IOERR_WRITE`); an opening that fails says it in words only. */
const matches = (error: unknown, code: RegExp, words: RegExp): boolean =>
  code.test(codeOf(error)) || words.test(textOf(error));

export const isDamage = (error: unknown): boolean =>
  matches(error, /^SQLITE_(CORRUPT|NOTADB|FORMAT)/u, /malformed|not a database|corrupt/iu);

const LATER = "Nothing that was acknowledged before is lost; what happened since is not proved.";

export const storeFault = (path: string, doing: string, error: unknown): Fault => {
  const text = textOf(error);
  if (isDamage(error)) {
    return fault("record", "record-damaged", `The records ${path} are damaged: ${text}.`, {
      means: "Nothing is written into a damaged store, and nothing damaged is used.",
      remedy: `Look at it with \`stillpoint verify ${path}\`, fetch it from its backup, or begin another with --records.`,
    });
  }
  const [what, remedy] = matches(error, /^SQLITE_FULL/u, /disk is full|no space/iu)
    ? ["the disk is full", "Free space on the disk, or name a file on another with --records."]
    : matches(error, /^SQLITE_(READONLY|PERM|AUTH|CANTOPEN)/u, /readonly|read-only|EROFS|EACCES|EPERM|unable to open/iu)
      ? ["they cannot be written there", "Take the write protection away, or name a file elsewhere with --records."]
      : matches(error, /^SQLITE_BUSY|^SQLITE_LOCKED/u, /locked|busy/iu)
        ? ["another program holds them", "End the other program, or name another file with --records."]
        : [text, "Name a file in a folder that can be written, with --records."];
  return fault("record", "record-write", `The records ${path} could not be ${doing}: ${what}.`, {
    means: doing === "opened" ? "Nothing was begun." : LATER,
    remedy,
  });
};
