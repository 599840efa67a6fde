import type { BenchInstrument } from "../../ports/bench.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { rampTo } from "../approach.ts";
import { preflight } from "../preflight/index.ts";
import type { RunContext } from "../run-context.ts";
import type { ResumeRequest } from "../run-request.ts";
import { first, type Script } from "../script.ts";
import { standingOf } from "../standing.ts";
import { type AdjustingBefore, adjustingStage } from "./adjusting.ts";
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

/** The screws when they are needed, and as left when one was turned. */
function* adjustAndMeasure(context: RunContext, before?: AdjustingBefore): Script<Fault | null> {
  const { adjust, judge, plan } = context.request;
  if (adjust === "never") return null;
  const judgement = judge(context.stageEvents("as-found"));
  if (adjust === "when-needed" && judgement.withinAim && before?.turned !== true) {
    // Without adjustment one set of results is both as found and as left (ISO/IEC 17025, 7.8.4.1 d).
    context.record({ kind: "adjustment-ended", outcome: "not-needed", why: judgement.why, rounds: 0 });
    return null;
  }
  const adjusted = yield* adjustingStage(context, before);
  if (adjusted.fault !== null || !adjusted.touched) return adjusted.fault;
  if (plan.exercise_each_stage) {
    const trouble = yield* exerciseStage(context);
    if (trouble !== null) return trouble;
  }
  return yield* measureStage(context, "as-left");
}

/** As found, then the screws when they are needed, then as left when a screw was turned. */
function* calibrate(context: RunContext, taken?: ReadonlySet<number>): Script<Fault | null> {
  return (yield* measureStage(context, "as-found", taken)) ?? (yield* adjustAndMeasure(context));
}

const NOT_RESUMABLE: Fault = fault("refused", "bad-option", "This record cannot be gone on with.", {
  means: "A run that has ended stays as it is, and a test that explains is run anew.",
});

/**
 * Goes on where the record broke off. Points that were read stand as long as nothing was touched; once a line or the
 * position was touched the stage is read anew, and once a screw was, what follows is no longer as found.
 */
function* goOn(context: RunContext, { events, resumed }: ResumeRequest): Script<Fault | null> {
  const standing = standingOf(events);
  const whole = resumed.touched === "nothing";
  const turned = resumed.touched === "screws";
  switch (standing.kind) {
    case "ended":
    case "examining":
      return NOT_RESUMABLE;
    case "finishing":
      return null;
    case "before-points":
      return yield* calibrate(context);
    case "measuring":
      if (standing.stage === "as-left") {
        return turned
          ? yield* adjustAndMeasure(context, { frozen: true, turned: true })
          : yield* measureStage(context, "as-left", whole ? standing.taken : undefined);
      }
      return turned
        ? yield* adjustAndMeasure(context, { frozen: false, turned: true })
        : yield* calibrate(context, whole ? standing.taken : undefined);
    case "judging":
      return yield* turned ? adjustAndMeasure(context, { frozen: false, turned: true }) : adjustAndMeasure(context);
    case "adjusting":
      return yield* adjustAndMeasure(context, { frozen: standing.frozen, turned: standing.turned || turned });
    case "before-as-left":
      return turned
        ? yield* adjustAndMeasure(context, { frozen: true, turned: true })
        : yield* measureStage(context, "as-left");
  }
}

/** The whole run but its ending. */
export function* runStages(context: RunContext): Script<Ending> {
  const { examine, resume } = context.request;
  if (resume !== undefined) {
    if (["ended", "examining"].includes(standingOf(resume.events).kind)) return { kind: "fault", fault: NOT_RESUMABLE };
    context.record({ kind: "run-resumed", ...resume.resumed });
  }
  const instruments = yield* identify(context);
  context.record({ kind: "stage-started", stage: "preflight" });
  const looked = yield* preflight(context, instruments, "look");
  if (looked !== null) return { kind: "fault", fault: looked };
  context.record({ kind: "cautions-accepted", by: context.request.cautions_accepted_by });
  const trouble =
    (yield* preflight(context, instruments, "drive")) ??
    (yield* exerciseStage(context)) ??
    (resume !== undefined
      ? yield* goOn(context, resume)
      : examine === undefined
        ? yield* calibrate(context)
        : yield* examineStage(context, examine));
  if (trouble !== null) return { kind: "fault", fault: trouble };
  const since = yield* preflight(context, instruments, "after");
  if (since !== null) return { kind: "fault", fault: since };
  // A run that ends well goes down as gently as it went up; what this cannot do, making safe does right after.
  if (context.safe_percent !== null && context.percent !== context.safe_percent)
    yield* rampTo(context, context.safe_percent);
  return FINISHED;
}
