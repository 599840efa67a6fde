import { VirtualTimeScheduler } from "rxjs";
import { createVirtualHand } from "../../drivers/simulated/simulated-hand.ts";
import { createVirtualBench, type VirtualBench } from "../../drivers/simulated/virtual-bench.ts";
import { type JobFiles, readJobFiles } from "../../src/app/job-files.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { type Job, type JobOptions, prepareJob } from "../../src/app/prepare-job.ts";
import { type JobOutcome, runJob } from "../../src/app/run-job.ts";
import { simulatedSettings } from "../../src/app/simulated-settings.ts";
import type { BenchFile } from "../../src/config/bench-file.schema.ts";
import type { Hand } from "../../src/ports/bench.ts";
import { type Fault, faultText } from "../../src/vocabulary/fault.ts";
import type { Result } from "../../src/vocabulary/result.ts";
import { spanOf } from "../../src/vocabulary/signal-range.ts";

export const must = <T>(result: Result<T, Fault>): T => {
  if (!result.ok) throw new Error(faultText(result.fault));
  return result.value;
};

type Simulation = NonNullable<BenchFile["simulation"]>;

export interface PracticeWishes {
  readonly bench?: "simulated-serial" | "simulated-tcp" | "simulated-lines";
  readonly unit?: string;
  readonly converter?: Partial<Simulation["converter"]>;
  readonly seed?: number;
  readonly gauge_noise?: number;
  /** The current is then as the source says it commands: exact on the simulated bench. */
  readonly withoutCurrentMeter?: boolean;
}

const simulationOf = ({ bench }: JobFiles): Simulation => {
  if (bench.simulation === undefined) throw new Error("the bench is not simulated");
  return bench.simulation;
};

/** A job on an example bench whose simulated converter is as wished. */
export const practiceJob = (wishes: PracticeWishes = {}, options: Partial<JobOptions> = {}): Job => {
  const files = must(
    readJobFiles(
      {
        bench: shipped("bench-configs", `${wishes.bench ?? "simulated-serial"}.yaml`),
        unit: shipped("bench-configs", `${wishes.unit ?? "ip-3-15-psi"}.yaml`),
        laboratory: shipped("bench-configs", "laboratory.yaml"),
      },
      knownParts(),
    ),
  );
  const simulation = simulationOf(files);
  const stations = Object.fromEntries(
    Object.entries(files.bench.stations).map(([name, { current_meter, ...slots }]) => [
      name,
      wishes.withoutCurrentMeter === true || current_meter === undefined ? slots : { ...slots, current_meter },
    ]),
  );
  const changed: BenchFile = {
    ...files.bench,
    stations,
    simulation: {
      ...simulation,
      seed: wishes.seed ?? simulation.seed,
      gauge_noise: wishes.gauge_noise ?? simulation.gauge_noise,
      converter: { ...simulation.converter, ...wishes.converter },
    },
  };
  return must(prepareJob({ ...files, bench: changed }, { operator: "A. Technician", ...options }, "2026-11-25"));
};

export interface PracticeRun {
  readonly outcome: JobOutcome;
  /** The bench after the run: it knows the truth. */
  readonly model: VirtualBench["model"];
}

/** Runs a job on the virtual clock, and keeps the model, which knows where the screws were left. */
export const runWithModel = async (
  job: Job,
  handOf?: (bench: VirtualBench, scheduler: VirtualTimeScheduler) => Hand,
): Promise<PracticeRun> => {
  const settings = must(simulatedSettings(job.bench, job.station, job.unit));
  const scheduler = new VirtualTimeScheduler();
  const slots = job.bench.stations[job.station];
  const bench = createVirtualBench(settings, scheduler, {
    safe_mA: job.safe_mA,
    without: slots?.current_meter === undefined ? ["current-meter"] : [],
  });
  const outcome = runJob(job, {
    run_id: "practice",
    keep: () => null,
    utc_zero_ms: 0,
    bench,
    hand:
      handOf?.(bench, scheduler) ??
      createVirtualHand(bench.model, scheduler, { seed: settings.seed, span_kPa: spanOf(job.transfer.output) }),
    clock: { kind: "virtual", factor: 0, scheduler, zero_ms: scheduler.now() },
  });
  scheduler.flush();
  return { outcome: await outcome, model: bench.model };
};
