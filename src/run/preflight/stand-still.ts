import type { Fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { rampTo } from "../approach.ts";
import type { RunContext } from "../run-context.ts";
import type { Script } from "../script.ts";
import { settle } from "../settle.ts";
import { bandRule } from "../settling/rules/band.ts";
import { verdictFault } from "../verdict-fault.ts";

/** Waits until the output stands still enough for a check (0.5 % of span over 3 s); mean in % of span. */
export function* standStill(context: RunContext, where: string): Script<Result<number, Fault>> {
  const rule = bandRule({ rule: "band", band_percent: 0.5, window_s: 3, timeout_s: 60 });
  const at = context.percent ?? 0;
  const seen = yield* settle(context, { at_s: context.now_s(), from: at, to: at, role: "exercise" }, rule);
  if (seen.kind === "lost") return err(seen.fault);
  if (seen.verdict.kind === "settled") return ok(seen.verdict.value);
  const refusal = verdictFault(seen.verdict, where);
  if (refusal === null) throw new Error(`the stand-still of preflight ended with "${seen.verdict.kind}"`);
  return err(refusal);
}

/** Ramps to `percent` of the output span and waits there. */
export function* goAndStand(context: RunContext, percent: number): Script<Result<number, Fault>> {
  const moved = yield* rampTo(context, percent);
  return moved.ok ? yield* standStill(context, `${percent} % during preflight`) : moved;
}
