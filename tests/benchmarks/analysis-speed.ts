import { analyseStage } from "../../src/analysis/analyse-stage.ts";
import { minimaxLine } from "../../src/analysis/minimax-line.ts";
import { cyclesOf, PLAIN, TENTHS } from "../analysis/bench-readings.ts";

/**
 * How long the analysis takes; prints medians.
 *
 *     npx tsx tests/benchmarks/analysis-speed.ts
 */
let state = 12345;
const next = (): number => {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return state / 2 ** 32;
};

const median_ms = (runs: number, work: () => void): number => {
  const times = Array.from({ length: runs }, () => {
    const before = performance.now();
    work();
    return performance.now() - before;
  }).toSorted((a, b) => a - b);
  return times[Math.floor(runs / 2)] ?? Number.NaN;
};

const run = cyclesOf(PLAIN, 3, TENTHS, () => next() - 0.5);
const cloud = Array.from({ length: 1e5 }, (_, i) => ({ x: i + next(), y: i + 10 * next() }));

const lines = [
  `first analysis of 3 cycles x 11 points, cold: ${median_ms(1, () => analyseStage(run, PLAIN, { stage: "as-found" })).toFixed(2)} ms`,
  `analysis of 3 cycles x 11 points, median of 200: ${median_ms(200, () => analyseStage(run, PLAIN, { stage: "as-found" })).toFixed(3)} ms`,
  `minimax line over 100,000 points, median of 15: ${median_ms(15, () => minimaxLine(cloud)).toFixed(1)} ms`,
];
process.stdout.write(`${lines.join("\n")}\n`);
