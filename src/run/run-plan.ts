import { catchError, defaultIfEmpty, Observable, of, Subscription, take, timeout } from "rxjs";
import type { SafeOutcome } from "../ports/bench.ts";
import { fault } from "../vocabulary/fault.ts";
import { seconds } from "../vocabulary/quantities.ts";
import { faultRecord } from "./fault-record.ts";
import { NotKept, RunContext } from "./run-context.ts";
import type { RunOutput } from "./run-output.ts";
import type { RunRequest } from "./run-request.ts";
import { runScript } from "./script.ts";
import { type Ending, runStages } from "./stages/index.ts";

const STOPPED: Ending = {
  kind: "stopped",
  fault: fault("stopped", "stopped-by-person", "The person stopped the run.", {
    means: "Points recorded before the stop stand; the run is not complete.",
  }),
};

/** A record not kept, or a bug, caught once: the run ends and the source is made safe like at every other ending. */
const broken = (thrown: unknown): Ending => ({
  kind: "fault",
  fault:
    thrown instanceof NotKept
      ? thrown.fault
      : fault("program", "internal", `The run broke on an error of the program: ${String(thrown)}.`, {
          means: "Points recorded before it stand; the run is not complete.",
          remedy: "Keep the record and report it.",
        }),
});

/** Drives the source to its safe value; always answers, at the latest after the deadline. */
const leaveSafe = (context: RunContext): Observable<SafeOutcome> => {
  const { bench, scheduler } = context.request;
  const unknown = (reason: string): Observable<SafeOutcome> =>
    of({ kind: "unknown", reason, at_s: seconds(context.now_s()) });
  const { safe_deadline_s } = context.policy;
  return new Observable<SafeOutcome>((out) => bench.makeSafe().subscribe(out)).pipe(
    take(1),
    timeout({
      first: safe_deadline_s * 1000,
      scheduler,
      with: () => unknown(`the bench did not say within ${safe_deadline_s} s how the source was left`),
    }),
    catchError((thrown) => unknown(`making the bench safe broke: ${String(thrown)}`)),
    defaultIfEmpty<SafeOutcome, SafeOutcome>({
      kind: "unknown",
      reason: "the bench did not say how the source was left",
      at_s: seconds(context.now_s()),
    }),
  );
};

/**
 * Runs a test plan on a bench: preflight, exercise, as found, adjusting, as left. Nothing happens before subscription.
 * Emits records and live samples, then `source-left` and `run-ended`, and completes; it never errors. Every ending
 * drives the source to its safe value: finish, fault, stop, an error of the program, and unsubscribing, after which
 * nothing is emitted any more but the source is still made safe.
 */
export const runPlan = (request: RunRequest): Observable<RunOutput> =>
  new Observable<RunOutput>((out) => {
    const context = new RunContext(request, (output) => out.next(output));
    const work = new Subscription();
    let ended = false;

    const leave = (): Observable<SafeOutcome> => {
      ended = true;
      work.unsubscribe();
      context.monitor.stop();
      return leaveSafe(context);
    };

    const end = (ending: Ending): void => {
      if (ended) return;
      context.beginRecordEnding();
      context.live({ kind: "making-safe" });
      // Not tied to `out`: a view that goes away now must not keep the source from being made safe.
      leave().subscribe((left) => {
        context.recordEnding({
          kind: "source-left",
          outcome: left.kind,
          current_mA: left.kind === "safe" ? left.current_mA : null,
          ...(left.kind === "unknown" ? { reason: left.reason } : {}),
        });
        context.recordEnding({
          kind: "run-ended",
          ending: ending.kind,
          ...(ending.kind === "finished" ? {} : { fault: faultRecord(ending.fault) }),
        });
        out.complete();
      });
    };

    work.add(request.stop$?.pipe(take(1)).subscribe({ next: () => end(STOPPED), error: (e) => end(broken(e)) }));
    if (!ended) {
      context.monitor.start(() => context.now_s(), {
        pressure: (sample) =>
          context.live(
            sample.ok
              ? { kind: "pressure", kPa: sample.value.value.kPa, percent: context.toPercent(sample.value.value.kPa) }
              : { kind: "no-reading", fault: sample.fault },
          ),
        current: (sample) => sample.ok && context.live({ kind: "current", mA: sample.value.value.mA }),
        supply: (sample) => sample.ok && context.live({ kind: "supply", kPa: sample.value.value.kPa }),
        ambient: (sample) => sample.ok && context.live({ kind: "ambient", degC: sample.value.value.degC }),
        broken: (thrown) => end(broken(thrown)),
      });
      work.add(runScript(() => runStages(context)).subscribe({ next: end, error: (e) => end(broken(e)) }));
    }
    return () => {
      if (!ended) leave().subscribe();
    };
  });
