import type { Fault } from "../vocabulary/fault.ts";
import { type Milliamp, mA, percentOfSpan } from "../vocabulary/quantities.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { inputFor } from "../vocabulary/signal-range.ts";
import type { RunContext } from "./run-context.ts";
import { first, type Script } from "./script.ts";

/** One command, believed only as far as the source confirmed it. */
function* command(
  context: RunContext,
  percent: number,
): Script<Result<{ readonly confirmed: Milliamp; readonly at_s: number }, Fault>> {
  const current = inputFor(context.request.transfer, percentOfSpan(percent));
  const answer = yield* first(context.request.bench.command(current));
  if (!answer.ok) return answer;
  context.percent = percent;
  context.commanded_mA = answer.value.confirmed;
  context.live({ kind: "set-point", percent, mA: answer.value.confirmed });
  return answer;
}

/**
 * Ramps the set point to `percent` of the output span and records the last command. The ramp follows the clock, so a
 * slow source makes the steps larger and not the ramp slower. `slower` divides its speed.
 * Gives the instant of the last command, in s.
 */
export function* rampTo(context: RunContext, percent: number, slower = 1): Script<Result<number, Fault>> {
  const { ramp_percent_per_s, ramp_interval_s } = context.request.plan.approach;
  const speed = ramp_percent_per_s / slower;
  const from = context.percent ?? percent;
  const begun_s = context.now_s();
  for (;;) {
    const step_s = context.now_s();
    const travelled = speed * (step_s - begun_s + ramp_interval_s);
    const there = travelled >= Math.abs(percent - from) - 1e-9;
    const answer = yield* command(context, there ? percent : from + Math.sign(percent - from) * travelled);
    if (!answer.ok) return answer;
    if (there) {
      const { confirmed, at_s } = answer.value;
      const current_mA = inputFor(context.request.transfer, percentOfSpan(percent));
      context.record({ kind: "commanded", current_mA, confirmed_mA: confirmed });
      return ok(at_s);
    }
    yield* context.wait(step_s + ramp_interval_s - context.now_s());
  }
}

/** One direct command outside the range of the plan, to vent. The next ramp starts from the lower end. */
export function* ventTo(context: RunContext, current_mA: number): Script<Result<number, Fault>> {
  const answer = yield* first(context.request.bench.command(mA(current_mA)));
  if (!answer.ok) return answer;
  context.commanded_mA = answer.value.confirmed;
  context.record({ kind: "commanded", current_mA, confirmed_mA: answer.value.confirmed });
  context.percent = 0;
  return ok(answer.value.at_s);
}
