import { createPlant } from "../../../drivers/simulated/physics/plant.ts";
import type { PlantSettings } from "../../../drivers/simulated/physics/plant-settings.ts";
import { createRandom, type Random } from "../../../drivers/simulated/physics/random.ts";
import {
  type LiftOffMove,
  type LiftOffSeen,
  LONGEST_REST_S,
  nextLiftOff,
  type Quiet,
  quietFloor,
  USUAL_LIFT_OFF,
} from "../../../src/adjust/lift-off.ts";
import type { RiseSample } from "../../../src/adjust/lift-off-rise.ts";
import { quantile } from "./technician.ts";

const POLL_S = 0.1;
/** A 0 to 500 kPa unit: nothing flows below zero gauge pressure. */
const RANGE = { lower: 0, upper: 500 };

export interface LiftOffUnit {
  readonly zero_error_percent: number;
  readonly dead_band_percent: number;
  readonly lag_s: number;
  readonly noise_percent: number;
}

export interface LiftOffWork {
  readonly end: Extract<LiftOffMove, { kind: "found" | "not-found" }>;
  readonly truth_percent: number;
  readonly time_s: number;
}

/** The search on the plant, straight on the physics: 0.1 s polls with white noise. */
export const searchOnPlant = (unit: LiftOffUnit, random: Random): LiftOffWork => {
  const settings: PlantSettings = {
    range_kPa: RANGE,
    zero_error_percent: unit.zero_error_percent,
    dead_band_percent: unit.dead_band_percent,
    core: { kind: "lags", first_s: unit.lag_s },
    dead_time_s: 0.1,
    tubing_s: 0.1,
    supply: { pressure_kPa: 600 },
    initial_percent: 0,
  };
  const plant = createPlant(settings, random.split("plant"));
  const noise = random.split("noise");
  const read = (): number => plant.output() + noise.normal(0, unit.noise_percent);
  let time_s = 0;
  const step = (input: number): number => {
    plant.advance(POLL_S, input);
    time_s += POLL_S;
    return read();
  };
  const rest = (input: number, least_s: number): Quiet => {
    const samples: RiseSample[] = [];
    for (let t = POLL_S; ; t += POLL_S) {
      samples.push({ at_s: t, output_percent: step(input) });
      const quiet = t < least_s ? null : quietFloor(samples);
      if (quiet !== null || t > LONGEST_REST_S) return quiet ?? { floor_percent: 0, noise_percent: 0.01 };
    }
  };
  const seen: LiftOffSeen[] = [];
  for (;;) {
    const move = nextLiftOff(USUAL_LIFT_OFF, seen);
    if (move.kind === "found" || move.kind === "not-found") {
      // Rising, the mechanism stays half the dead band behind the input.
      const truth_percent = -unit.zero_error_percent + unit.dead_band_percent / 2;
      return { end: move, truth_percent, time_s };
    }
    const quiet = rest(move.back_to_percent, move.rest_s);
    const samples: RiseSample[] = [];
    if (move.kind === "rise") {
      for (let t = POLL_S; ; t += POLL_S) {
        const input = move.from_percent + move.rate_percent_per_s * t;
        samples.push({ at_s: t, output_percent: step(input) });
        const last = samples.slice(-5);
        const mean = last.reduce((sum, s) => sum + s.output_percent, 0) / last.length - quiet.floor_percent;
        if (mean > move.until_output_percent || input >= move.to_percent) break;
      }
      const { from_percent, rate_percent_per_s } = move;
      seen.push({ kind: "rise", from_percent, rate_percent_per_s, samples, ...quiet });
    } else {
      for (let t = POLL_S; t <= move.watch_s; t += POLL_S)
        samples.push({ at_s: t, output_percent: step(move.at_percent) });
      seen.push({ kind: "trial", at_percent: move.at_percent, samples, ...quiet });
    }
  }
};

export interface LiftOffFigures {
  readonly units: number;
  readonly lag_s: number;
  readonly found: number;
  readonly error_median: number;
  readonly error_p95: number;
  readonly error_most: number;
  readonly time_median_s: number;
  readonly time_most_s: number;
  /** Share of units whose truth lies within two standard uncertainties. */
  readonly within_2u: number;
}

export const benchLiftOff = (count: number, lag_s: number, noise_percent = 0.01): LiftOffFigures => {
  const works = Array.from({ length: count }, (_, i) => {
    const random = createRandom(`lift-off ${i}`);
    const unit = { zero_error_percent: random.uniform(-2.5, 2.5), dead_band_percent: 0.1, lag_s, noise_percent };
    return searchOnPlant(unit, random);
  });
  const found = works.filter((w) => w.end.kind === "found");
  const off = found.map((w) => (w.end.kind === "found" ? Math.abs(w.end.input_percent - w.truth_percent) : Number.NaN));
  const inside = found.filter(
    (w) => w.end.kind === "found" && Math.abs(w.end.input_percent - w.truth_percent) <= 2 * w.end.u_percent,
  );
  const times = works.map((w) => w.time_s);
  return {
    units: count,
    lag_s,
    found: found.length,
    error_median: quantile(off, 0.5),
    error_p95: quantile(off, 0.95),
    error_most: quantile(off, 1),
    time_median_s: quantile(times, 0.5),
    time_most_s: quantile(times, 1),
    within_2u: inside.length / Math.max(1, found.length),
  };
};

export const liftOffLines = (all: readonly LiftOffFigures[]): readonly string[] => [
  "Lift-off of SIMULATED 0-500 kPa units, dead band 0.1 %, gauge noise 0.01 % a reading, zero errors to 2.5 %: error in % of input span",
  ...all.map(
    (f) =>
      `  lag ${f.lag_s} s: ${f.found} of ${f.units} found, error median ${f.error_median.toFixed(4)}, p95 ${f.error_p95.toFixed(4)}, most ${f.error_most.toFixed(4)}; simulated time median ${f.time_median_s.toFixed(0)} s, most ${f.time_most_s.toFixed(0)} s; truth within 2u in ${(100 * f.within_2u).toFixed(0)} %`,
  ),
];
