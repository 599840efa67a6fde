import { map, merge } from "rxjs";
import { actText, type ExamineStep } from "../../plan/examination.ts";
import type { RunEventOf } from "../../readings/run-event.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { percentOfSpan } from "../../vocabulary/quantities.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { inputFor } from "../../vocabulary/signal-range.ts";
import { rampTo } from "../approach.ts";
import type { RunContext } from "../run-context.ts";
import type { ExaminationRequest } from "../run-request.ts";
import { samplesRecord } from "../samples-record.ts";
import { first, type Script } from "../script.ts";
import { hold } from "../settle.ts";

type Trace = RunEventOf<"trace-taken">;

/** Seen before a jump, s. */
const BEFORE_S = 2;
/** Time between two commands of a sweep, s. */
const SWEEP_S = 0.1;

/** One command without a ramp. Gives the instant at which it was confirmed. */
function* jumpTo(context: RunContext, percent: number): Script<Result<number, Fault>> {
  const current = inputFor(context.request.transfer, percentOfSpan(percent));
  const answer = yield* first(context.request.bench.command(current));
  if (!answer.ok) return answer;
  context.percent = percent;
  context.commanded_mA = answer.value.confirmed;
  context.live({ kind: "set-point", percent, mA: answer.value.confirmed });
  context.record({ kind: "commanded", current_mA: current, confirmed_mA: answer.value.confirmed });
  return ok(answer.value.at_s);
}

/** Waits, and ends early with the fault of a lost line. */
function* stay(context: RunContext, for_s: number, why: string): Script<Fault | null> {
  return yield* hold(context, for_s, why);
}

interface Stretch {
  readonly name: string;
  readonly begun_s: number;
  readonly from_percent: number;
  readonly commanded_s: number;
  /** Inputs and the instants from which they held; left out where the input stood still. */
  readonly inputs?: readonly { readonly at_s: number; readonly percent: number }[];
}

const inputAt = (inputs: NonNullable<Stretch["inputs"]>, at_s: number, before: number): number =>
  inputs.findLast((i) => i.at_s <= at_s)?.percent ?? before;

const takeTrace = (context: RunContext, stretch: Stretch): Trace => {
  const { monitor } = context;
  const seen = monitor.pressure.since(stretch.begun_s);
  const supply = monitor.supply?.readings(stretch.begun_s, context.now_s()) ?? [];
  const ambient = monitor.ambient?.readings(stretch.begun_s - 60, context.now_s()).at(-1);
  const event: Trace = {
    kind: "trace-taken",
    name: stretch.name,
    begun_s: stretch.begun_s,
    from_percent: stretch.from_percent,
    to_percent: context.percent ?? stretch.from_percent,
    commanded_s: stretch.commanded_s,
    samples: samplesRecord(seen),
    ...(stretch.inputs === undefined
      ? {}
      : { input_percent: seen.map((s) => inputAt(stretch.inputs ?? [], s.at_s, stretch.from_percent)) }),
    ...(supply.length === 0
      ? {}
      : { supply: { at_s: supply.map((s) => s.at_s), pressure_kPa: supply.map((s) => s.value.kPa) } }),
    ambient_degC: ambient?.value.degC ?? null,
  };
  context.record(event);
  return event;
};

function* stairs(context: RunContext, step: Extract<ExamineStep, { kind: "stairs" }>): Script<Result<Trace, Fault>> {
  const from_percent = context.percent ?? 0;
  const begun_s = context.now_s();
  const inputs: { at_s: number; percent: number }[] = [{ at_s: begun_s, percent: from_percent }];
  for (let i = 0; i <= step.steps; i += 1) {
    if (i > 0) {
      const moved = yield* jumpTo(context, from_percent + i * step.step_percent);
      if (!moved.ok) return moved;
      inputs.push({ at_s: moved.value, percent: from_percent + i * step.step_percent });
    }
    const trouble = yield* stay(context, step.dwell_s, `${step.name}, tread ${i} of ${step.steps}`);
    if (trouble !== null) return err(trouble);
  }
  return ok(takeTrace(context, { name: step.name, begun_s, from_percent, commanded_s: begun_s, inputs }));
}

function* sweep(context: RunContext, step: Extract<ExamineStep, { kind: "sweep" }>): Script<Result<Trace, Fault>> {
  const from_percent = context.percent ?? 0;
  const begun_s = context.now_s();
  const way = Math.sign(step.to_percent - from_percent);
  const inputs: { at_s: number; percent: number }[] = [{ at_s: begun_s, percent: from_percent }];
  const floor = context.monitor.pressure.readings(begun_s - 2, begun_s).map((r) => context.toPercent(r.value.kPa));
  const foot = floor.reduce((sum, v) => sum + v, 0) / Math.max(1, floor.length);
  for (;;) {
    const travelled = step.rate_percent_per_s * (context.now_s() - begun_s);
    const there = travelled >= Math.abs(step.to_percent - from_percent);
    const percent = there ? step.to_percent : from_percent + way * travelled;
    const current = inputFor(context.request.transfer, percentOfSpan(percent));
    const answer = yield* first(context.request.bench.command(current));
    if (!answer.ok) return answer;
    context.percent = percent;
    context.commanded_mA = answer.value.confirmed;
    context.live({ kind: "set-point", percent, mA: answer.value.confirmed });
    inputs.push({ at_s: answer.value.at_s, percent });
    const late = context.monitor.pressure
      .readings(context.now_s() - 0.6, context.now_s())
      .map((r) => context.toPercent(r.value.kPa));
    const risen = late.length > 0 && late.reduce((sum, v) => sum + v, 0) / late.length - foot;
    const enough = step.until_rise_percent !== undefined && risen !== false && risen > step.until_rise_percent;
    if (there || enough) break;
    yield* context.wait(SWEEP_S);
  }
  return ok(takeTrace(context, { name: step.name, begun_s, from_percent, commanded_s: begun_s, inputs }));
}

/** Asks for something to be done by hand. Declining ends the test, and what was seen before it stands. */
function* act(context: RunContext, step: Extract<ExamineStep, { kind: "act" }>): Script<"done" | "declined"> {
  const words = actText(step.act);
  const { assistant } = context.request;
  context.live({ kind: "asking", what: words });
  const outcome =
    assistant === undefined
      ? "declined"
      : yield* first(
          merge(
            assistant.act({
              kind: step.act.kind,
              words,
              ...(step.act.kind === "set-supply" ? { supply_kPa: step.act.supply_kPa } : {}),
            }),
            context.wait$(context.policy.hand_patience_s).pipe(map((): "declined" => "declined")),
          ),
        );
  context.record({ kind: "hand-asked", what: words, outcome });
  return outcome;
}

/** One step. Gives a trace where it takes one, "declined" where a person would not, or the fault that ends the run. */
export function* takeStep(context: RunContext, step: ExamineStep): Script<Result<Trace | null | "declined", Fault>> {
  switch (step.kind) {
    case "rest": {
      const moved = yield* rampTo(context, step.at_percent);
      if (!moved.ok) return moved;
      const trouble = yield* stay(context, step.for_s, `resting at ${step.at_percent.toFixed(1)} %`);
      return trouble === null ? ok(null) : err(trouble);
    }
    case "jump": {
      const from_percent = context.percent ?? step.to_percent;
      const begun_s = context.now_s();
      const before = yield* stay(context, BEFORE_S, step.name);
      if (before !== null) return err(before);
      const moved = yield* jumpTo(context, step.to_percent);
      if (!moved.ok) return moved;
      const trouble = yield* stay(context, step.watch_s, step.name);
      if (trouble !== null) return err(trouble);
      return ok(takeTrace(context, { name: step.name, begun_s, from_percent, commanded_s: moved.value }));
    }
    case "watch": {
      const begun_s = context.now_s();
      const trouble = yield* stay(context, step.for_s, step.name);
      if (trouble !== null) return err(trouble);
      const from_percent = context.percent ?? 0;
      return ok(takeTrace(context, { name: step.name, begun_s, from_percent, commanded_s: begun_s }));
    }
    case "stairs":
      return yield* stairs(context, step);
    case "sweep":
      return yield* sweep(context, step);
    case "act":
      return (yield* act(context, step)) === "done" ? ok(null) : ok("declined");
  }
}

const declinedFault = (test: string): Fault =>
  fault("unit", "not-settled", `The test ${test} was not finished: what only a person can do was not done.`, {
    means: "What was seen before it stands; the test gives no result for the rest.",
    remedy: "Run the test again at a terminal, with somebody at the bench.",
  });

/**
 * Runs a test that explains the unit: its steps in order, then, for a test that finds its way, whatever `more` asks for
 * next until it asks for nothing. Gives the fault that ends the run, or null.
 */
export function* examineStage(context: RunContext, request: ExaminationRequest): Script<Fault | null> {
  const { examination, more } = request;
  const { test, title } = examination;
  context.record({ kind: "stage-started", stage: "examination" });
  context.record({ kind: "examination-started", test, title });
  const traces: Trace[] = [];
  const end = (why: string | null): void =>
    context.record({
      kind: "examination-ended",
      test,
      outcome: why === null ? "complete" : "incomplete",
      ...(why === null ? {} : { why }),
    });
  let steps = examination.steps;
  while (steps.length > 0) {
    for (const step of steps) {
      const got = yield* takeStep(context, step);
      if (!got.ok) {
        end(got.fault.message);
        return got.fault;
      }
      if (got.value === "declined") {
        const refused = declinedFault(test);
        end(refused.message);
        return refused;
      }
      if (got.value !== null) traces.push(got.value);
    }
    steps = more?.(traces) ?? [];
  }
  end(null);
  return null;
}
