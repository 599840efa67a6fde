import { type CheckedPoint, checkCoverage, coverageOf, simulateCalibration } from "../app/simulated-calibration.ts";

/**
 * How often the true error of a unit lies inside the stated 95 % interval, over many calibrations on the virtual bench,
 * each of another unit with references drawn anew: `npm run bench:coverage -- 2000`. Goal: 93 to 97.5 % of the points.
 * Exit code 1 when it is missed.
 */
const GOAL = [0.93, 0.975] as const;
const count = Number(process.argv[2] ?? 2000);
const say = (line: string): void => void process.stdout.write(`${line}\n`);
const percent = (share: number): string => `${(100 * share).toFixed(2)} %`;

const bare: CheckedPoint[] = [];
const limited: CheckedPoint[] = [];
const lost: string[] = [];
const start = performance.now();
for (let seed = 1; seed <= count; seed += 1) {
  try {
    const calibration = await simulateCalibration(seed);
    const { bench, station } = calibration.job;
    const hasLimits = bench.stations[station]?.height_difference !== undefined;
    (hasLimits ? limited : bare).push(...checkCoverage(calibration, 1));
  } catch (error) {
    lost.push(`seed ${seed}: ${error instanceof Error ? error.message : String(error)}`);
  }
  if (seed % 200 === 0) {
    const { inside_share } = coverageOf([...bare, ...limited]);
    process.stderr.write(`${seed} of ${count}: ${percent(inside_share)}\n`);
  }
}
const line = (name: string, points: readonly CheckedPoint[]): string => {
  const { points: n, inside_share, normalised_rms } = coverageOf(points);
  return `${name}: ${percent(inside_share)} of ${n} points inside; root mean square of (error - truth) / u ${normalised_rms.toFixed(3)}`;
};
const all = [...bare, ...limited];
const { inside_share } = coverageOf(all);
const met = inside_share >= GOAL[0] && inside_share <= GOAL[1];
say(`${count} calibrations, ${((performance.now() - start) / 1000).toFixed(0)} s; ${lost.length} came to nothing`);
for (const why of lost.slice(0, 5)) say(`  ${why}`);
say(line("certificates only", bare));
say(line("with drift, temperature, zero, position, height", limited));
say(line("all", all));
say(`goal ${percent(GOAL[0])} to ${percent(GOAL[1])}: ${met ? "met" : "MISSED"}`);
if (!met) process.exitCode = 1;
