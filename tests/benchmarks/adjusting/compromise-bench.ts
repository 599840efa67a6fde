import { playsOfWidth } from "../../../drivers/simulated/physics/hysteresis.ts";
import type { PlantSettings } from "../../../drivers/simulated/physics/plant-settings.ts";
import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import type { ScrewTurns } from "../../../drivers/simulated/physics/screws.ts";
import { trueErrors, trueOutputs } from "../../../drivers/simulated/physics/true-errors.ts";
import { adjustmentOutlook } from "../../../src/adjust/adjustment-outlook.ts";
import { kPa } from "../../../src/vocabulary/quantities.ts";
import { analysed, PLAIN, pointsOf, TENTHS } from "../../analysis/bench-readings.ts";
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
const turnsFor = (plant: PlantSettings, wanted: { readonly lower: number; readonly upper: number }): ScrewTurns => {
  const ends = (turns: ScrewTurns): readonly [number, number] => {
    const outputs = trueOutputs(plant, bothWays(TENTHS), { before: EXERCISE, turns }).map(at);
    return [outputs.at(-1) ?? Number.NaN, outputs[TENTHS.length - 1] ?? Number.NaN];
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
  /** Judged at the eleven points of the plan, as the certificate judges. */
  readonly at_points: Ratios;
  /** Judged at every whole per cent, where nobody has read anything. */
  readonly everywhere: Ratios;
  /** Largest difference between what was announced and the optimum at the points, % of span. */
  readonly announced: number;
}

const ratiosOf = (values: readonly number[]): Ratios => ({
  median: quantile(values, 0.5),
  p95: quantile(values, 0.95),
  most: quantile(values, 1),
});

/** Error left by the outlook's targets over the least error that any position of the screws leaves. */
export const benchCompromise = (count: number): CompromiseFigures => {
  const atPoints: number[] = [];
  const everywhere: number[] = [];
  let announced = 0;
  for (let seed = 0; atPoints.length < count && seed < 3 * count; seed += 1) {
    const plant = plantOf(seed);
    const noise = createRandom(`compromise ${seed}`).split("noise");
    const outputs = trueOutputs(plant, bothWays(TENTHS), { before: EXERCISE });
    const taken = outputs.map((output, i) => ({
      cycle: 1,
      direction: i < TENTHS.length ? ("rising" as const) : ("falling" as const),
      input_mA: 4 + 0.16 * (bothWays(TENTHS)[i] ?? 0),
      output_kPa: at(output + noise.normal(0, NOISE)),
    }));
    const outlook = adjustmentOutlook(analysed(pointsOf(PLAIN, taken), PLAIN), {
      at_percent: { lower: 0, upper: 100 },
      ideal_kPa: { lower: kPa(20), upper: kPa(100) },
      limitAt: () => 0.4,
    });
    if (outlook === null) throw new Error("no outlook");
    const turns = turnsFor(plant, outlook.aims.wanted_kPa);
    // A unit whose screws end before is another case: the guide says where they stop.
    if (Math.abs(turns.zero) > STOP || Math.abs(turns.span) > STOP) continue;
    const optimum = bruteForce(plant, TENTHS);
    atPoints.push(worst(plant, turns, TENTHS) / optimum);
    everywhere.push(worst(plant, turns, DENSE) / bruteForce(plant, DENSE));
    announced = Math.max(announced, Math.abs(outlook.best.left_kPa / 0.8 - optimum));
  }
  return { plants: atPoints.length, at_points: ratiosOf(atPoints), everywhere: ratiosOf(everywhere), announced };
};

const ratiosText = ({ median, p95, most }: Ratios): string =>
  `median ${median.toFixed(4)}, p95 ${p95.toFixed(4)}, most ${most.toFixed(4)}`;

export const compromiseLines = (f: CompromiseFigures): readonly string[] => [
  `Best compromise against brute force on ${f.plants} SIMULATED plants (bow to 0.4 %, hysteresis to 0.5 %): ratio of the greatest errors`,
  `  at the 11 points of the plan, both ways:  ${ratiosText(f.at_points)}`,
  `  at every whole per cent, both ways:       ${ratiosText(f.everywhere)}`,
  `  announced before adjusting and optimum differ by at most ${f.announced.toFixed(4)} % of span`,
];
