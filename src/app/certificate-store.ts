import { existsSync, readFileSync } from "node:fs";
import { mkdir, open, rm } from "node:fs/promises";
import { join } from "node:path";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import {
  EMPTY_LEDGER,
  type Ledger,
  type LedgerAct,
  type LedgerEntry,
  ledgerLine,
  readLedger,
} from "./certificate-ledger.ts";
import { sha256 } from "./hash-chain.ts";
import { writeWhole } from "./write-whole.ts";

/**
 * Where issued certificates lie, byte for byte, with the ledger of what happened to them. So small that a database can
 * take its place: a ledger that is only added to, and files that are written once.
 */
export interface CertificateStore {
  readonly place: string;
  /** Checked from its first line on; a ledger that was tampered with is a fault. */
  ledger(): Result<Ledger, Fault>;
  /** Adds one act, if `check` still allows it when nobody else is writing. */
  add(check: (ledger: Ledger) => Result<LedgerAct, Fault>, utc: string): Promise<Result<LedgerEntry, Fault>>;
  /** Keeps a file for ever; a name that is taken by other bytes is refused. Gives the digest. */
  keep(name: string, bytes: Uint8Array | string): Promise<Result<string, Fault>>;
  /** The bytes as they were kept, if they still have this digest. */
  fetch(name: string, digest: string): Result<Uint8Array, Fault>;
}

const trouble = (what: string, error: unknown): Result<never, Fault> =>
  err(
    fault("record", "record-write", `${what}: ${error instanceof Error ? error.message : String(error)}.`, {
      means: "Nothing was added to the ledger.",
      remedy: "Free the folder of certificates, or name another with --store.",
    }),
  );

/** A store in a plain folder: `ledger.jsonl`, and `files/`. Nothing in it is ever written over. */
export const folderStore = (place: string): CertificateStore => {
  const ledgerPath = join(place, "ledger.jsonl");
  const lockPath = join(place, "ledger.lock");
  const ledger = (): Result<Ledger, Fault> => {
    try {
      return existsSync(ledgerPath) ? readLedger(readFileSync(ledgerPath, "utf8")) : ok(EMPTY_LEDGER);
    } catch (error) {
      return trouble(`The ledger ${ledgerPath} could not be read`, error);
    }
  };
  return {
    place,
    ledger,
    add: async (check, utc) => {
      try {
        await mkdir(place, { recursive: true });
        await (await open(lockPath, "wx")).close();
      } catch (error) {
        return trouble(`${lockPath} could not be made; another program writes, or one was cut off`, error);
      }
      try {
        const now = ledger();
        if (!now.ok) return now;
        const act = check(now.value);
        if (!act.ok) return act;
        const line = ledgerLine(now.value, act.value, utc);
        const handle = await open(ledgerPath, "a");
        try {
          await handle.appendFile(`${line}\n`, "utf8");
          await handle.datasync();
        } finally {
          await handle.close();
        }
        const after = ledger();
        const last = after.ok ? after.value.entries.at(-1) : undefined;
        if (after.ok && last !== undefined) return ok(last);
        return after.ok ? trouble("The ledger did not take the line", "nothing was read back") : after;
      } catch (error) {
        return trouble(`The ledger ${ledgerPath} could not be written`, error);
      } finally {
        await rm(lockPath, { force: true });
      }
    },
    keep: async (name, bytes) => {
      const path = join(place, "files", name);
      const digest = sha256(bytes);
      if (existsSync(path)) {
        if (sha256(readFileSync(path)) === digest) return ok(digest);
        return err(
          fault("refused", "not-allowed", `${path} is there already, with other content.`, {
            means: "What was kept is never written over.",
            remedy: "Choose another number, or move the file away if the ledger does not know it.",
          }),
        );
      }
      const written = await writeWhole(path, bytes);
      return written.ok ? ok(digest) : written;
    },
    fetch: (name, digest) => {
      const path = join(place, "files", name);
      let bytes: Uint8Array;
      try {
        bytes = readFileSync(path);
      } catch {
        return err(
          fault("record", "record-damaged", `${path} is not there any more.`, {
            remedy: "Fetch it from the backup; its SHA-256 stands in the ledger.",
          }),
        );
      }
      if (sha256(bytes) === digest) return ok(bytes);
      return err(
        fault("record", "record-damaged", `${path} is not what was kept: its SHA-256 is another than in the ledger.`, {
          means: "It was changed after it was kept, and is not used.",
          remedy: "Fetch it from the backup.",
        }),
      );
    },
  };
};
