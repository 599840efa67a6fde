import type { BenchInstrument } from "../../ports/bench.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { rampTo } from "../approach.ts";
import { preflight } from "../preflight/index.ts";
import type { RunContext } from "../run-context.ts";
import { first, type Script } from "../script.ts";
import { adjustingStage } from "./adjusting.ts";
import { examineStage } from "./examine.ts";
import { exerciseStage, measureStage } from "./measure.ts";

/** How a run came to its end, before the source is made safe. */
export type Ending =
  | { readonly kind: "finished" }
  | { readonly kind: "stopped"; readonly fault: Fault }
  | { readonly kind: "fault"; readonly fault: Fault };

const FINISHED: Ending = { kind: "finished" };

function* identify(context: RunContext): Script<readonly BenchInstrument[]> {
  const instruments = yield* first(context.request.bench.identify());
  context.beginRecord();
  const serials = new Map<string, string>();
  for (const { role, name, identity } of instruments) {
    if (!identity.ok) continue;
    serials.set(name, identity.value.serial_number);
    context.record({ kind: "instrument-identified", role, name, ...identity.value });
  }
  context.serials = serials;
  return instruments;
}

/** As found, then the screws when they are needed, then as left when a screw was turned. */
function* calibrate(context: RunContext): Script<Fault | null> {
  const { adjust, judge, plan } = context.request;
  const found = yield* measureStage(context, "as-found");
  if (found !== null) return found;
  if (adjust === "never") return null;
  const judgement = judge(context.stageEvents());
  if (adjust === "when-needed" && judgement.withinAim) {
    // Without adjustment one set of results is both as found and as left (ISO/IEC 17025, 7.8.4.1 d).
    context.record({ kind: "adjustment-ended", outcome: "not-needed", why: judgement.why, rounds: 0 });
    return null;
  }
  const adjusted = yield* adjustingStage(context);
  if (adjusted.fault !== null || !adjusted.touched) return adjusted.fault;
  if (plan.exercise_each_stage) {
    const trouble = yield* exerciseStage(context);
    if (trouble !== null) return trouble;
  }
  return yield* measureStage(context, "as-left");
}

/** The whole run but its ending. */
export function* runStages(context: RunContext): Script<Ending> {
  const instruments = yield* identify(context);
  context.record({ kind: "stage-started", stage: "preflight" });
  const looked = yield* preflight(context, instruments, "look");
  if (looked !== null) return { kind: "fault", fault: looked };
  context.record({ kind: "cautions-accepted", by: context.request.cautions_accepted_by });
  const trouble =
    (yield* preflight(context, instruments, "drive")) ??
    (yield* exerciseStage(context)) ??
    (context.request.examine === undefined
      ? yield* calibrate(context)
      : yield* examineStage(context, context.request.examine));
  if (trouble !== null) return { kind: "fault", fault: trouble };
  const since = yield* preflight(context, instruments, "after");
  if (since !== null) return { kind: "fault", fault: since };
  // A run that ends well goes down as gently as it went up; what this cannot do, making safe does right after.
  if (context.safe_percent !== null && context.percent !== context.safe_percent)
    yield* rampTo(context, context.safe_percent);
  return FINISHED;
}
