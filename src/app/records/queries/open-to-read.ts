import { existsSync } from "node:fs";
import { type Fault, fault } from "../../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../../vocabulary/result.ts";
import { MIGRATIONS } from "../migrations/index.ts";
import { mirrorCertificates } from "../mirror-certificates.ts";
import { openRecords } from "../open-records.ts";
import { parsePostgresAddress } from "../postgres-address.ts";
import { openShared } from "../postgres-queries.ts";
import { postgresTrouble } from "../postgres-trouble.ts";
import { openSqlite, queriesOver } from "../sqlite-file.ts";
import { storeFault } from "../store-fault.ts";
import type { RecordDatabase } from "../tables.ts";

/** Records to be looked at: those of this bench, or the shared ones. */
export interface OpenedRecords {
  readonly db: RecordDatabase;
  /** For messages; without anything secret. */
  readonly name: string;
  /** What the database threw, as a fault. */
  faultOf(error: unknown): Fault;
  close(): Promise<void>;
}

const noStore = (path: string, what: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", `${path} ${what}.`, {
      remedy: "Name the records of a bench with --records, or the shared ones with --database.",
    }),
  );

/** The records file of a bench. One of an older version is brought to this one first; nothing else is ever written here. */
export const openBenchRecords = async (path: string, may: "read" | "write"): Promise<Result<OpenedRecords, Fault>> => {
  if (!existsSync(path)) return noStore(path, "is not there");
  try {
    const file = openSqlite(path, may);
    const { user_version } = file.prepare("pragma user_version").get() as { readonly user_version: number };
    if (user_version === 0) {
      file.close();
      return noStore(path, "holds no records");
    }
    if (user_version !== MIGRATIONS.length) {
      file.close();
      const renewed = await openRecords(path, { bench: "" });
      if (!renewed.ok) return renewed;
      renewed.value.close();
      return openBenchRecords(path, may);
    }
    const db = queriesOver(file);
    return ok({ db, name: path, faultOf: (error) => storeFault(path, "read", error), close: () => db.destroy() });
  } catch (error) {
    return err(storeFault(path, "opened", error));
  }
};

export interface Place {
  readonly records: string;
  /** Wins where both are named. */
  readonly database?: string | undefined;
  /** Folder of certificates; what is new in its ledger is taken into the records of the bench first. */
  readonly store?: string | undefined;
}

/** Brings the records of a bench up to the ledger of its certificates. */
const withCertificates = async (path: string, folder: string): Promise<Result<void, Fault>> => {
  const opened = await openBenchRecords(path, "write");
  if (!opened.ok) return opened;
  try {
    const mirrored = await mirrorCertificates(opened.value.db, folder);
    return mirrored.ok ? ok(undefined) : mirrored;
  } catch (error) {
    return err(storeFault(path, "written", error));
  } finally {
    await opened.value.close();
  }
};

export const openToRead = async (place: Place): Promise<Result<OpenedRecords, Fault>> => {
  if (place.database === undefined) {
    if (place.store !== undefined && existsSync(place.store)) {
      const done = await withCertificates(place.records, place.store);
      if (!done.ok) return done;
    }
    return openBenchRecords(place.records, "read");
  }
  const address = parsePostgresAddress(place.database);
  if (!address.ok) return address;
  const { name } = address.value;
  const shared = openShared(address.value);
  return ok({
    db: shared.db,
    name,
    faultOf: (error) => postgresTrouble(error, name).fault,
    close: () => shared.close(),
  });
};
