import { VirtualTimeScheduler } from "rxjs";
import { createVirtualAssistant } from "../../drivers/simulated/simulated-assistant.ts";
import { createVirtualHand } from "../../drivers/simulated/simulated-hand.ts";
import { createVirtualBench } from "../../drivers/simulated/virtual-bench.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { spanOf } from "../vocabulary/signal-range.ts";
import type { Job } from "./prepare-job.ts";
import { type JobOutcome, type JobWorld, runJob } from "./run-job.ts";
import { simulatedSettings } from "./simulated-settings.ts";

export interface VirtualOutcome extends JobOutcome {
  /** Simulated seconds that the job took. */
  readonly simulated_s: number;
}

/**
 * The whole job on the virtual clock: the same pipeline, no bytes, no waiting. The same seed gives the same record twice,
 * but for the instant at which it says it began.
 */
export const runVirtualJob = async (
  job: Job,
  world: Pick<JobWorld, "run_id" | "utc_zero_ms" | "keep" | "watch" | "resume" | "ledger">,
): Promise<Result<VirtualOutcome, Fault>> => {
  const settings = simulatedSettings(job.bench, job.station, job.unit);
  if (!settings.ok) return settings;
  const scheduler = new VirtualTimeScheduler();
  const slots = job.bench.stations[job.station];
  const without = [
    ...(slots?.current_meter === undefined ? ["current-meter" as const] : []),
    ...(slots?.supply_gauge === undefined ? ["supply-gauge" as const] : []),
    ...(slots?.ambient === undefined ? ["ambient" as const] : []),
    ...(slots?.humidity === undefined ? ["humidity" as const] : []),
    ...(slots?.barometer === undefined ? ["barometer" as const] : []),
  ];
  const bench = createVirtualBench(settings.value, scheduler, { safe_mA: job.safe_mA, without });
  const hand = createVirtualHand(bench.model, scheduler, {
    seed: settings.value.seed,
    span_kPa: spanOf(job.transfer.output),
  });
  const outcome = runJob(job, {
    ...world,
    bench,
    hand,
    assistant: createVirtualAssistant(bench.model, scheduler),
    clock: { kind: "virtual", factor: 0, scheduler, zero_ms: scheduler.now() },
  });
  scheduler.flush();
  return ok({ ...(await outcome), simulated_s: scheduler.now() / 1000 });
};
