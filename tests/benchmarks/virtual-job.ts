import { performance } from "node:perf_hooks";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, practiceJob } from "../app/practice-job.ts";

/**
 * How long the whole job takes on the virtual clock: preflight, exercise, as found, adjusting, as left, nine points a
 * stage, with every judgement. Goal: under 2 s of the wall. Argument: number of jobs, 5 if left out.
 */
const GOAL_S = 2;
const count = Number(process.argv[2] ?? 5);
const say = (line: string): void => void process.stdout.write(`${line}\n`);

const walls: number[] = [];
let simulated_s = 0;
for (let i = 0; i < count; i += 1) {
  const job = practiceJob();
  let events = 0;
  const keep = (): null => {
    events += 1;
    return null;
  };
  const start = performance.now();
  const outcome = must(await runVirtualJob(job, { run_id: `benchmark-${i}`, utc_zero_ms: 0, keep }));
  const wall_s = (performance.now() - start) / 1000;
  walls.push(wall_s);
  simulated_s = outcome.simulated_s;
  const points = outcome.record.stages.map((stage) => stage.points.length).join(" and ");
  if (outcome.record.ending?.ending !== "finished" || points !== "9 and 9") {
    throw new Error(`the job did not do all of its work: ${outcome.record.ending?.ending}, ${points} points`);
  }
  say(`job ${i + 1}: ${wall_s.toFixed(2)} s of the wall, ${simulated_s.toFixed(0)} s simulated, ${events} events`);
}
const sorted = walls.toSorted((a, b) => a - b);
const median = sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
say(
  `median ${median.toFixed(2)} s for ${simulated_s.toFixed(0)} simulated seconds: ${(simulated_s / median).toFixed(0)} times the clock; goal under ${GOAL_S} s ${median < GOAL_S ? "met" : "MISSED"}`,
);
