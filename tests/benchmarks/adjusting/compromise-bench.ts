import { playsOfWidth } from "../../../drivers/simulated/physics/hysteresis.ts";
import type { PlantSettings } from "../../../drivers/simulated/physics/plant-settings.ts";
import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import type { ScrewTurns } from "../../../drivers/simulated/physics/screws.ts";
import { trueErrors, trueOutputs } from "../../../drivers/simulated/physics/true-errors.ts";
import { adjustmentOutlook } from "../../../src/adjust/adjustment-outlook.ts";
import { kPa } from "../../../src/vocabulary/quantities.ts";
import { analysed, PLAIN, pointsOf } from "../../analysis/bench-readings.ts";
import { quantile } from "./technician.ts";

/** Standard deviation of a captured point, % of span: some nine readings of the simulated gauge with 0.003 % each. */
const NOISE = 0.001;
const STOP = 4;
const DENSE = Array.from({ length: 101 }, (_, i) => i);
const EXERCISE = [0, 100, 0];
const at = (percent: number): number => 20 + 0.8 * percent;

const plantOf = (seed: number): PlantSettings => {
  const random = createRandom(`compromise ${seed}`);
  const [zeroBottom, spanTop] = [random.uniform(1.5, 3.5), random.uniform(2, 4)];
  const stops = { lower_stop_turns: -STOP, upper_stop_turns: STOP };
  return {
    zero_error_percent: random.uniform(-3, 3),
    span_error_percent: random.uniform(-3, 3),
    bow_percent: random.uniform(-0.4, 0.4),
    plays: playsOfWidth(random.uniform(0, 0.5)),
    dead_band_percent: random.uniform(0, 0.1),
    supply: { pressure_kPa: 180 },
    screws: {
      zero: {
        bottom_percent_per_turn: zeroBottom,
        top_percent_per_turn: zeroBottom * random.uniform(0.7, 1.3),
        ...stops,
      },
      span: { bottom_percent_per_turn: spanTop * random.uniform(-0.3, 0.6), top_percent_per_turn: spanTop, ...stops },
    },
  };
};

const bothWays = (points: readonly number[]): readonly number[] => [...points, ...points.toReversed()];

/** Greatest true error over the points, up and down after a stroke, % of span. */
const worst = (plant: PlantSettings, turns: ScrewTurns, points: readonly number[]): number =>
  trueErrors(plant, bothWays(points), { before: EXERCISE, turns }).reduce((most, e) => Math.max(most, Math.abs(e)), 0);

/** By trying: a coarse net over both screws, drawn tighter round its best knot until that no longer moves. */
const bruteForce = (plant: PlantSettings, points: readonly number[]): number => {
  let best = { zero: 0, span: 0 };
  let least = worst(plant, best, points);
  for (let step = 1; step > 0.0004; step /= 2.5) {
    for (let moved = true; moved; ) {
      moved = false;
      const centre = best;
      for (let i = -3; i <= 3; i += 1)
        for (let j = -3; j <= 3; j += 1) {
          const zero = Math.max(-STOP, Math.min(STOP, centre.zero + i * step));
          const span = Math.max(-STOP, Math.min(STOP, centre.span + j * step));
          const value = worst(plant, { zero, span }, points);
          if (value < least - 1e-12) {
            [least, best, moved] = [value, { zero, span }, true];
          }
        }
    }
  }
  return least;
};

/** Turns that bring both ends to their targets on the plant, each read on its own side; the plant is linear in them. */
const turnsFor = (
  plant: PlantSettings,
  wanted: { readonly lower: number; readonly upper: number },
  points: readonly number[],
): ScrewTurns => {
  const ends = (turns: ScrewTurns): readonly [number, number] => {
    const outputs = trueOutputs(plant, bothWays(points), { before: EXERCISE, turns }).map(at);
    return [outputs.at(-1) ?? Number.NaN, outputs[points.length - 1] ?? Number.NaN];
  };
  const [l0, u0] = ends({ zero: 0, span: 0 });
  const [lz, uz] = ends({ zero: 1, span: 0 });
  const [ls, us] = ends({ zero: 0, span: 1 });
  const [a, b, c, d] = [lz - l0, ls - l0, uz - u0, us - u0];
  const [x, y] = [wanted.lower - l0, wanted.upper - u0];
  const determinant = a * d - b * c;
  return { zero: (d * x - b * y) / determinant, span: (a * y - c * x) / determinant };
};

interface Ratios {
  readonly median: number;
  readonly p95: number;
  readonly most: number;
}

export interface CompromiseFigures {
  readonly plants: number;
  /** Points of the plan, evenly over the range. */
  readonly points: number;
  /** Judged at the points of the plan, as the certificate judges. */
  readonly at_points: Ratios;
  /** Judged at every whole per cent, where nobody has read anything. */
  readonly everywhere: Ratios;
  /** The same, had the curve been known at every whole per cent. */
  readonly all_known: Ratios;
  /** Largest difference between what was announced and what the targets leave at the points, % of span. */
  readonly announced: number;
}

const ratiosOf = (values: readonly number[]): Ratios => ({
  median: quantile(values, 0.5),
  p95: quantile(values, 0.95),
  most: quantile(values, 1),
});

/** The targets of the outlook, had these points been read with the noise of a capture. */
const targetsFrom = (plant: PlantSettings, points: readonly number[], seed: number, noise_percent: number) => {
  const noise = createRandom(`compromise ${seed}`).split(`noise ${points.length}`);
  const outputs = trueOutputs(plant, bothWays(points), { before: EXERCISE });
  const taken = outputs.map((output, i) => ({
    cycle: 1,
    direction: i < points.length ? ("rising" as const) : ("falling" as const),
    input_mA: 4 + 0.16 * (bothWays(points)[i] ?? 0),
    output_kPa: at(output + noise.normal(0, noise_percent)),
  }));
  const outlook = adjustmentOutlook(analysed(pointsOf(PLAIN, taken), PLAIN), {
    at_percent: { lower: 0, upper: 100 },
    ideal_kPa: { lower: kPa(20), upper: kPa(100) },
    limitAt: () => 0.4,
  });
  if (outlook === null) throw new Error("no outlook");
  return { outlook, turns: turnsFor(plant, outlook.aims.wanted_kPa, points) };
};

/** Error left by the outlook's targets over the least error that any position of the screws leaves. */
export const benchCompromise = (count: number): readonly CompromiseFigures[] => {
  const even = (n: number): readonly number[] => Array.from({ length: n }, (_, i) => (100 * i) / (n - 1));
  // The last set reads the ends closely as well, where the loop opens.
  const sets = [even(5), even(11), even(21), [0, 1, 2, 4, 6, ...even(11).slice(1, -1), 94, 96, 98, 99, 100]];
  const rows = sets.map((points) => ({
    points,
    at_points: [] as number[],
    everywhere: [] as number[],
    all_known: [] as number[],
    announced: 0,
  }));
  let plants = 0;
  for (let seed = 0; plants < count && seed < 3 * count; seed += 1) {
    const plant = plantOf(seed);
    const known = targetsFrom(plant, DENSE, seed, 0).turns;
    // A unit whose screws end before is another case: the guide says where they stop.
    if (Math.max(Math.abs(known.zero), Math.abs(known.span)) > 0.97 * STOP) continue;
    plants += 1;
    const least = bruteForce(plant, DENSE);
    for (const row of rows) {
      const { outlook, turns } = targetsFrom(plant, row.points, seed, NOISE);
      const left = worst(plant, turns, row.points);
      row.at_points.push(left / bruteForce(plant, row.points));
      row.everywhere.push(worst(plant, turns, DENSE) / least);
      row.all_known.push(worst(plant, known, DENSE) / least);
      row.announced = Math.max(row.announced, Math.abs(outlook.best.left_kPa / 0.8 - left));
    }
  }
  return rows.map((row) => ({
    plants,
    points: row.points.length,
    at_points: ratiosOf(row.at_points),
    everywhere: ratiosOf(row.everywhere),
    all_known: ratiosOf(row.all_known),
    announced: row.announced,
  }));
};

const ratiosText = ({ median, p95, most }: Ratios): string =>
  `median ${median.toFixed(4)}, p95 ${p95.toFixed(4)}, most ${most.toFixed(4)}`;

export const compromiseLines = (all: readonly CompromiseFigures[]): readonly string[] => [
  `Best compromise against brute force on ${all[0]?.plants ?? 0} SIMULATED plants (bow to 0.4 %, hysteresis to 0.5 %): ratio of the greatest errors`,
  ...all.flatMap((f) => [
    `  ${f.points} points: at the points, both ways     ${ratiosText(f.at_points)}`,
    `  ${f.points} points: at every whole per cent     ${ratiosText(f.everywhere)}; announced within ${f.announced.toFixed(4)} % of span`,
  ]),
  ...all.slice(-1).map((f) => `  with every whole per cent read without noise: ${ratiosText(f.all_known)}`),
];
