import { spawnSync } from "node:child_process";
import { type BudgetModel, parseBudgetModel } from "../../src/uncertainty/budget/budget-model.ts";
import { monteCarlo } from "../../src/uncertainty/monte-carlo/monte-carlo.ts";
import { sfc32 } from "../../src/uncertainty/monte-carlo/random-words.ts";

/**
 * A million trials of a ten-input model, here and in NumPy, on one thread, turn about in the same run:
 * `npx tsx tests/benchmarks/monte-carlo.ts`. Both draw, evaluate, and give mean, standard deviation and the shortest
 * 95 % interval. Prints the ratio of the best times; it should stay below 1.5.
 */
const TRIALS = 1_000_000;
const ROUNDS = 5;
const FORMULA = "x0*x1 + x2/x3 - sqrt(x4^2 + x5^2) + x6*(x7 - x8) + exp(-x9/10)";

const NUMPY = `
import sys, time
import numpy as np
n = ${TRIALS}
start = time.perf_counter()
rng = np.random.default_rng(int(sys.argv[1]))
x0, x1, x2, x3, x4, x5, x6, x7, x8, x9 = (rng.normal(i + 1, (i + 1) / 10, n) for i in range(10))
y = x0*x1 + x2/x3 - np.sqrt(x4**2 + x5**2) + x6*(x7 - x8) + np.exp(-x9/10)
mean, u = y.mean(), y.std(ddof=1)
y.sort()
q = int(0.95 * n + 0.5)
r = (y[q:] - y[:n - q]).argmin()
print(1000 * (time.perf_counter() - start), mean, u, y[r], y[r + q])
`;

const model = (): BudgetModel => {
  const inputs = Array.from(
    { length: 10 },
    (_, i) => `  x${i}: { distribution: normal, value: ${i + 1}, u: ${(i + 1) / 10} }`,
  );
  const text = `format: stillpoint-budget 1\ntitle: ten inputs\ninputs:\n${inputs.join("\n")}\noutputs:\n  y: { model: "${FORMULA}" }\n`;
  const parsed = parseBudgetModel(text, "benchmark.yaml");
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.fault));
  return parsed.value;
};

interface Run {
  readonly ms: number;
  readonly figures: readonly number[];
}

const here = (of: BudgetModel, seed: number): Run => {
  const start = performance.now();
  const result = monteCarlo(of, sfc32(seed), { trials: TRIALS });
  const ms = performance.now() - start;
  if (!result.ok) throw new Error(result.fault.message);
  const [y] = result.value.outputs;
  return { ms, figures: y === undefined ? [] : [y.y, y.u, ...y.interval] };
};

const inNumpy = (seed: number): Run | null => {
  const one = { OMP_NUM_THREADS: "1", OPENBLAS_NUM_THREADS: "1", MKL_NUM_THREADS: "1" };
  const { status, stdout } = spawnSync("python3", ["-c", NUMPY, String(seed)], {
    encoding: "utf8",
    env: { ...process.env, ...one },
  });
  if (status !== 0) return null;
  const [ms = Number.NaN, ...figures] = stdout.trim().split(" ").map(Number);
  return { ms, figures };
};

const line = (name: string, runs: readonly Run[]): string => {
  const times = runs.map((run) => run.ms).toSorted((a, b) => a - b);
  const figures = runs[0]?.figures.map((x) => x.toFixed(3)).join(" ") ?? "";
  return `${name.padEnd(8)} best ${times[0]?.toFixed(0)} ms, median ${times[Math.floor(times.length / 2)]?.toFixed(0)} ms; mean, u, interval: ${figures}`;
};

const best = (runs: readonly Run[]): number => Math.min(...runs.map((run) => run.ms));

const of = model();
here(of, 0);
const ours: Run[] = [];
const theirs: Run[] = [];
for (let round = 1; round <= ROUNDS; round += 1) {
  ours.push(here(of, round));
  const run = inNumpy(round);
  if (run !== null) theirs.push(run);
}
const lines = [`${TRIALS} trials of ${FORMULA}, one thread`, line("here", ours)];
if (theirs.length === 0) lines.push("NumPy is not installed here (python3-numpy): nothing to compare with.");
else lines.push(line("NumPy", theirs), `ratio of the best times: ${(best(ours) / best(theirs)).toFixed(2)}`);
process.stdout.write(`${lines.join("\n")}\n`);
