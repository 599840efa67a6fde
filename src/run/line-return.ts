import { filter, map, merge } from "rxjs";
import { type Fault, type FaultCode, fault } from "../vocabulary/fault.ts";
import { faultRecord } from "./fault-record.ts";
import type { RunContext } from "./run-context.ts";
import { first, type Script } from "./script.ts";

const ASK_AGAIN_S = 1;
/** The line is back, and what hangs on it now is not what hung on it before. */
const ANOTHER: readonly FaultCode[] = ["wrong-identity", "wrong-setting"];

const notAsBefore = (what: string): Fault =>
  fault("preflight", "wrong-identity", `The line came back, but ${what}.`, {
    means: "Readings from here on would come from another instrument.",
    remedy: "Put the instruments back as they were and start the run again.",
  });

/** Instruments that answer with another serial number than at the start. */
function* strangers(
  context: RunContext,
): Script<{ readonly silent: readonly string[]; readonly changed: readonly string[] }> {
  const instruments = yield* first(context.request.bench.identify());
  const changed = instruments.flatMap(({ name, identity }) => {
    const before = context.serials.get(name);
    return identity.ok && before !== undefined && identity.value.serial_number !== before
      ? [`${name} answered with serial number ${identity.value.serial_number}, not ${before}`]
      : [];
  });
  return { silent: instruments.flatMap((i) => (i.identity.ok ? [] : [i.name])), changed };
}

/**
 * Waits for a lost line: a good reading, then every instrument asked who it is. Gives null when the bench is the same
 * as before, or the fault that ends the run. What was in progress is void either way.
 */
export function* awaitLine(context: RunContext, lost: Fault): Script<Fault | null> {
  const { line_return_s } = context.policy;
  const until_s = context.now_s() + line_return_s;
  context.record({ kind: "trouble", fault: faultRecord(lost) });
  context.live({ kind: "line-lost", fault: lost, until_s });
  while (context.now_s() < until_s) {
    const telling$ = context.monitor.pressure.sampled$.pipe(
      filter((sample) => sample.ok || ANOTHER.includes(sample.fault.code)),
    );
    const told = yield* first(merge(telling$, context.wait$(until_s - context.now_s()).pipe(map(() => null))));
    if (told === null) break;
    if (!told.ok) return notAsBefore(told.fault.message.replace(/\.$/u, ""));
    const { silent, changed } = yield* strangers(context);
    if (changed.length > 0) {
      return notAsBefore(changed.join("; "));
    }
    if (silent.length === 0) {
      context.live({ kind: "line-back" });
      return null;
    }
    yield* context.wait(ASK_AGAIN_S);
  }
  return fault("communication", "line-lost", `${lost.message} The line did not come back within ${line_return_s} s.`, {
    means: "The point in progress is void; points recorded before it stand.",
    remedy: "Check cables, adapters and power, then start the run again.",
  });
}
