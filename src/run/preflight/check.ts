import type { BenchInstrument } from "../../ports/bench.ts";
import type { RunContext } from "../run-context.ts";
import type { Script } from "../script.ts";

export interface Finding {
  readonly outcome: "passed" | "failed" | "skipped";
  /** What was seen, with number, name and unit. */
  readonly saw: string;
  readonly means?: string;
  readonly remedy?: string;
  /** What the gauge showed of a vented output, where the check looked for that. */
  readonly vented_kPa?: number;
}

/** What the checks share: the run and what the instruments said of themselves. */
export interface PreflightBench {
  readonly context: RunContext;
  readonly instruments: readonly BenchInstrument[];
}

export interface PreflightCheck {
  /** Stable name: it stands in the record and is what an override names. */
  readonly name: string;
  /** `look` only reads; `drive` commands the source, after the cautions were accepted; `after` comes when all is read. */
  readonly phase: "look" | "drive" | "after";
  run(bench: PreflightBench): Script<Finding>;
}

export const passed = (saw: string): Finding => ({ outcome: "passed", saw });
export const skipped = (saw: string): Finding => ({ outcome: "skipped", saw });
export const failed = (saw: string, means: string, remedy: string): Finding => ({
  outcome: "failed",
  saw,
  means,
  remedy,
});

/** A check that needs no waiting. */
export const look = (name: string, see: (bench: PreflightBench) => Finding): PreflightCheck => ({
  name,
  phase: "look",
  // biome-ignore lint/correctness/useYield: a script that has nothing to wait for
  run: function* (bench) {
    return see(bench);
  },
});
