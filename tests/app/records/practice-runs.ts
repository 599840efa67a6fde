import { canonicalJson } from "../../../src/app/canonical-json.ts";
import { EMPTY_HEAD, nextHead } from "../../../src/app/hash-chain.ts";
import { runVirtualJob } from "../../../src/app/virtual-job.ts";
import { must, type PracticeWishes, practiceJob } from "../practice-job.ts";
import type { MadeUpRun } from "./made-up-runs.ts";

/** A run of the whole pipeline on the virtual clock as it lies in a store. */
export const practiceRun = async (
  run_id: string,
  wishes: PracticeWishes = {},
  row: Partial<MadeUpRun["run"]> = {},
): Promise<MadeUpRun> => {
  const bodies: string[] = [];
  const keep = (line: string): null => {
    bodies.push(canonicalJson(JSON.parse(line)));
    return null;
  };
  const job = practiceJob(wishes);
  const utc_zero_ms = Date.UTC(2026, 10, 25, 9);
  const outcome = must(await runVirtualJob(job, { run_id, utc_zero_ms, keep }));
  let head = EMPTY_HEAD;
  const events = bodies.map((body, i) => {
    head = nextHead(head, body);
    return { run_id, seq: i + 1, body, hash: head };
  });
  const { identity } = job.unit;
  const word = (stage: typeof outcome.asFound): string | null => (stage?.ok === true ? stage.value.verdict.word : null);
  const verdict_found = word(outcome.asFound);
  const verdict_left = word(outcome.asLeft);
  const run = {
    run_id,
    bench_id: "practice-bench",
    station: outcome.record.header.station,
    kind: "calibration" as const,
    started_utc: new Date(utc_zero_ms).toISOString(),
    ended_utc: outcome.record.last.utc,
    ending: outcome.record.ending?.ending ?? "",
    simulated: 1,
    operator: "A. Technician",
    unit_serial: identity.serial_number,
    unit_tag: identity.tag ?? "",
    unit_model: identity.model,
    unit_maker: identity.maker,
    customer: identity.customer ?? "",
    batch: "",
    verdict_found,
    verdict_left,
    verdict: verdict_left ?? verdict_found,
    largest_error_percent: null,
    next_due: "2027-05-25",
    events: events.length,
    head,
    software_version: "0.1.0",
    search_text: `${run_id} ${identity.serial_number} ${identity.customer ?? ""}`.toLowerCase(),
    facts: "{}",
    ...row,
  };
  return { run, events, references: [] };
};
