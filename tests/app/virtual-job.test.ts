import { expect, it } from "vitest";
import { certificateInput, readRecord } from "../../src/app/certify.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import type { Job } from "../../src/app/prepare-job.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { decodeRecord } from "../../src/readings/record-codec.ts";
import type { RecordedEvent } from "../../src/readings/run-event.ts";
import { must, practiceJob } from "./practice-job.ts";

interface Kept {
  readonly lines: readonly string[];
  readonly events: readonly RecordedEvent[];
  readonly verdicts: readonly (string | undefined)[];
}

const runOf = async (job: Job, run_id: string, utc_zero_ms: number): Promise<Kept> => {
  const lines: string[] = [];
  const keep = (line: string): null => {
    lines.push(line);
    return null;
  };
  const outcome = must(await runVirtualJob(job, { run_id, utc_zero_ms, keep }));
  const { events } = must(decodeRecord(`${lines.join("\n")}\n`));
  const verdicts = [outcome.asFound, outcome.asLeft].map((stage) =>
    stage?.ok === true ? stage.value.verdict.word : undefined,
  );
  return { lines, events, verdicts };
};

/** Everything but the name of the run and the instant at which it says it began. */
const apart = ({ events }: Kept): unknown =>
  events.map(({ utc: _utc, event, ...place }) => ({
    ...place,
    event: event.kind === "run-started" ? { ...event, run_id: "" } : event,
  }));

it("gives the same readings twice for the same seed, bit for bit, and others for another seed", async () => {
  const first = await runOf(practiceJob({ seed: 7 }), "first", 0);
  const again = await runOf(practiceJob({ seed: 7 }), "again", 86_400_000);
  const other = await runOf(practiceJob({ seed: 8 }), "other", 0);
  const captured = ({ events }: Kept): readonly unknown[] =>
    events.flatMap(({ at_s, event }) => (event.kind === "point-captured" ? [{ at_s, ...event }] : []));
  expect(captured(first)).toHaveLength(18);
  expect(captured(again)).toStrictEqual(captured(first));
  expect(apart(again)).toStrictEqual(apart(first));
  expect(captured(other)).not.toEqual(captured(first));
  expect([first, again, other].map((kept) => kept.verdicts)).toEqual(Array.from({ length: 3 }, () => ["fail", "pass"]));
});

it("keeps a record from which alone the certificate is made, with the same verdicts", async () => {
  const kept = await runOf(practiceJob({ bench: "simulated-lines" }), "alone", 0);
  const record = must(readRecord(`${kept.lines.join("\n")}\n`));
  const input = must(certificateInput(record, knownParts(), { language: "en", paper: "A4", issued_ms: 0 }));
  expect(record.simulated).toBe(true);
  expect([input.asFound?.verdict.word, input.asLeft?.verdict.word]).toEqual(kept.verdicts);
  expect(kept.verdicts).not.toContain(undefined);
});
