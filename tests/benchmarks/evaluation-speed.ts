import { evaluateStage } from "../../src/app/evaluate-record.ts";
import { stageOf } from "../../src/readings/run-record.ts";
import { must, practiceJob, runWithModel } from "../app/practice-job.ts";

/**
 * Analysis, budgets and verdict of a run of 3 cycles over 11 points, in this process: `npm run bench:evaluation`.
 * Goal: median under 20 ms. Exit code 1 when it is missed.
 */
const GOAL_ms = 20;
const RUNS = 201;

const job = practiceJob({}, { adjust: "never", plan: { cycles: 3, points: 11 } });
const stage = stageOf((await runWithModel(job)).outcome.record, "as-found");
if (stage === undefined) throw new Error("no as-found stage");

const times = Array.from({ length: RUNS }, () => {
  const start = performance.now();
  must(evaluateStage(stage, job));
  return performance.now() - start;
});
const [first = Number.NaN] = times;
const median = times.toSorted((a, b) => a - b)[Math.floor(RUNS / 2)] ?? Number.NaN;
process.stdout.write(
  `analysis, budgets and verdict of ${stage.points.length} readings: median of ${RUNS} ${median.toFixed(2)} ms, first ${first.toFixed(1)} ms; goal under ${GOAL_ms} ms ${median < GOAL_ms ? "met" : "MISSED"}\n`,
);
if (!(median < GOAL_ms)) process.exitCode = 1;
