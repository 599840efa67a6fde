import { join } from "node:path";
import type { Command } from "commander";
import { type OpenedRecords, openToRead } from "../app/records/queries/open-to-read.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";
import { addStore } from "./certificate-options.ts";

/** Options of the commands that look into records. */
export const RECORDS_FILE = "reports/records.sqlite";

/** The store of a bench whose papers go to a folder. */
export const recordsIn = (folder: string): string => join(folder, "records.sqlite");

/** For the commands that make records. */
export const addStoreOptions = (command: Command): Command =>
  command
    .option("--records <file>", "file of the bench's records (default: records.sqlite in the output folder)")
    .option(
      "--database <address>",
      "shared database that the run is sent to when it ends (default: that of the bench file)",
    )
    .option("--key <file>", "key that signs the head of the record when the run ends (see make-key)");

export interface RecordsArguments {
  readonly records: string;
  readonly database?: string;
  /** Folder of certificates. */
  readonly store: string;
}

export const addRecordsOptions = (command: Command): Command =>
  addStore(command)
    .option("--records <file>", "records of a bench", RECORDS_FILE)
    .option("--database <address>", "shared records instead: postgres://LOGIN@HOST/DATABASE, without a password");

/** Opens the records, does the work, closes them; what the database throws comes back as a fault. */
export const withRecords = async <T>(
  args: RecordsArguments,
  work: (opened: OpenedRecords) => Promise<Result<T, Fault>>,
): Promise<Result<T, Fault>> => {
  const opened = await openToRead(args);
  if (!opened.ok) return opened;
  try {
    return await work(opened.value);
  } catch (error) {
    // A mistake of this program is not the database's trouble.
    if (error instanceof TypeError || error instanceof RangeError) throw error;
    return err(opened.value.faultOf(error));
  } finally {
    await opened.value.close();
  }
};
