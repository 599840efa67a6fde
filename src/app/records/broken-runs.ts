import { existsSync } from "node:fs";
import type { KnownParts } from "../../config/known-drivers.ts";
import { decodeRecord } from "../../readings/record-codec.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, type Result } from "../../vocabulary/result.ts";
import { openRecords } from "./open-records.ts";
import { type BrokenRun, brokenRun } from "./resume-run.ts";

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { means: "Nothing was opened.", remedy }));

export interface BrokenRunWish {
  /** File of the bench's records. */
  readonly records: string;
  /** The only open run when left out. */
  readonly run_id?: string | undefined;
  readonly operator?: string | undefined;
  /** Day at the bench, YYYY-MM-DD. */
  readonly today: string;
}

/** Finds a run that broke off in a bench's records, and makes it ready to go on. */
export const readBrokenRun = async (wish: BrokenRunWish, known: KnownParts): Promise<Result<BrokenRun, Fault>> => {
  if (!existsSync(wish.records)) return refused(`${wish.records} is not there.`, "Name the records with --records.");
  const store = await openRecords(wish.records, { bench: "" });
  if (!store.ok) return store;
  try {
    const open = store.value.openRuns();
    if (!open.ok) return open;
    const [only, ...others] = open.value;
    if (only === undefined) return refused("No run in these records is open.", "Begin a new run.");
    if (wish.run_id === undefined && others.length > 0)
      return refused(`${open.value.length} runs are open: ${open.value.join(", ")}.`, "Say which is to go on.");
    const run_id = wish.run_id ?? only;
    if (!open.value.includes(run_id))
      return refused(`The run ${run_id} is not open.`, `Open is ${open.value.join(", ")}.`);
    const bodies = store.value.bodies(run_id);
    if (!bodies.ok) return bodies;
    const decoded = decodeRecord(`${bodies.value.join("\n")}\n`);
    return decoded.ok ? brokenRun(decoded.value.events, known, wish.operator, wish.today) : decoded;
  } finally {
    store.value.close();
  }
};
