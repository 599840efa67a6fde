import { type FileFault, fileFaultText } from "../config/file-fault.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, type Result } from "../vocabulary/result.ts";

/** A file of numbers that cannot be read: every mistake at its place. No bench is at work here, so none is spoken of. */
export const refusedFile = (faults: readonly FileFault[]): Result<never, Fault> =>
  err(fault("refused", "bad-file", faults.map(fileFaultText).join("\n")));
