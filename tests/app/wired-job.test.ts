import { afterAll, beforeAll, expect, it } from "vitest";
import { type Serving, serveBench } from "../../src/app/serve-bench.ts";
import { startWiredJob, type WiredJob } from "../../src/app/wired-job.ts";
import type { RunOutput } from "../../src/run/run-output.ts";
import { type LoopCurrent, watchLoop } from "../end-to-end/loop-current.ts";
import { must, practiceJob } from "./practice-job.ts";

/** A run over TCP in this process, fast, cut short from outside at awkward moments. */
const FACTOR = 60;
const job = practiceJob({ bench: "simulated-tcp" });
let serving: Serving;
let loop: LoopCurrent;

beforeAll(async () => {
  const { bench, station, unit } = job;
  serving = must(await serveBench({ bench, station, unit, factor: FACTOR }));
  loop = await watchLoop(serving.endpoints);
});

afterAll(async () => {
  await loop?.close();
  await serving?.close();
});

const startJob = (watch: (output: RunOutput, running: () => WiredJob) => void): WiredJob => {
  const running: WiredJob = startWiredJob(job, {
    run_id: "cut-short",
    keep: () => null,
    watch: (output) => watch(output, () => running),
    endpoints: serving.endpoints,
    hand: null,
    say: () => {},
  });
  return running;
};

const commandsAbove = (output: RunOutput, current_mA: number): boolean =>
  output.type !== "live" && output.event.kind === "commanded" && output.event.current_mA > current_mA;

it("does not lose a stop that comes before the lines are open: nothing is driven", async () => {
  let driven = false;
  const running = startJob((output) => {
    if (commandsAbove(output, 4.05)) driven = true;
  });
  running.stop();
  const { record } = must(await running.outcome);
  expect(record.ending?.ending).toBe("stopped");
  expect(record.source_left.at(-1)).toMatchObject({ outcome: "safe", current_mA: 4 });
  expect(driven).toBe(false);
});

it("in an emergency stops the run first, so that no set point follows the safe one", async () => {
  let left: Promise<string> | null = null;
  const running = startJob((output, itself) => {
    if (left === null && commandsAbove(output, 4.05)) left = itself().emergency();
  });
  const { record } = must(await running.outcome);
  expect(await left).toBe("The source was left at its safe value, 4.000 mA.");
  expect(record.ending?.ending).toBe("stopped");
  // The output slews for a moment after the word is given.
  expect(await loop.until((current_mA) => Math.abs(current_mA - 4) < 0.01, 500)).toBeLessThan(500);
});
