import type { RunEventOf } from "../readings/run-event.ts";
import type { Fault } from "../vocabulary/fault.ts";

type FaultRecord = RunEventOf<"trouble">["fault"];

/** A fault in the form in which it is recorded. */
export const faultRecord = (fault: Fault): FaultRecord => ({
  kind: fault.kind,
  code: fault.code,
  message: fault.message,
  ...(fault.means === undefined ? {} : { means: fault.means }),
  ...(fault.remedy === undefined ? {} : { remedy: fault.remedy }),
});
