import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { knownParts } from "../../../src/app/known-parts.ts";
import { summariseRun } from "../../../src/app/records/summarise-run.ts";
import type { JobOutcome } from "../../../src/app/run-job.ts";
import { runVirtualJob } from "../../../src/app/virtual-job.ts";
import { must, type PracticeWishes, practiceJob } from "../practice-job.ts";
import type { MadeUpRun } from "./made-up-runs.ts";

/** A run of the whole pipeline on the virtual clock, as it lies in a store, and what the run itself said. */
export interface PracticeRun extends MadeUpRun {
  readonly outcome: JobOutcome;
}

export const practiceRun = async (run_id: string, wishes: PracticeWishes = {}): Promise<PracticeRun> => {
  const bodies: string[] = [];
  const keep = (line: string): null => {
    bodies.push(canonicalJson(JSON.parse(line)));
    return null;
  };
  const outcome = must(
    await runVirtualJob(practiceJob(wishes), { run_id, utc_zero_ms: Date.UTC(2026, 10, 25, 9), keep }),
  );
  let head = EMPTY_HEAD;
  const events = bodies.map((body, i) => {
    head = nextHead(head, body);
    return { run_id, seq: i + 1, body, hash: head };
  });
  const { run, references } = must(summariseRun(outcome.record, knownParts()));
  return {
    run: { ...run, bench_id: "practice-bench", events: events.length, head },
    events,
    references: references.map((r) => ({ ...r, run_id })),
    outcome,
  };
};
