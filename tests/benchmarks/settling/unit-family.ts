import type { SeededRandom } from "./seeded-random.ts";
import { type Disturbances, drawUnusual, type UnusualKind, unusualKinds } from "./unusual.ts";

/**
 * The family of made-up converters, gauges and supplies on which the settling rules are compared. All pressures in % of
 * output span, times in s. The ranges are the project's own choice of what a bench may meet; no unit of any maker.
 */
export const publicKinds = [
  ["mixed", 0.22],
  ["fast", 0.06],
  ["slow", 0.08],
  ["ringing", 0.08],
  ["slewing", 0.08],
  ["two-stage", 0.06],
  ["creep", 0.08],
  ["noisy", 0.06],
  ["coarse", 0.05],
  ["stale", 0.05],
  ["dirty", 0.05],
  ["saturated", 0.04],
  ["ripple", 0.03],
  ["hunting", 0.06],
  ["drifting", 0.04],
] as const;

export type UnitKind = (typeof publicKinds)[number][0] | UnusualKind;

export interface UnitParameters {
  readonly kind: UnitKind;
  readonly deadTime: number;
  readonly zero: number;
  readonly gain: number;
  readonly bow: number;
  /** Weights of the play elements of half-width 0.5, 1, 2 and 4 %. */
  readonly playWeights: readonly [number, number, number, number];
  readonly creepShare: number;
  readonly creepTau: number;
  readonly trimShare: number;
  readonly trimTau: number;
  readonly driftPerMin: number;
  readonly rippleAmplitude: number;
  readonly rippleHz: number;
  /** Supply, kPa gauge. */
  readonly supply: number;
  /** Two lags, or a damped oscillator when `damping` is given. */
  readonly lagA: number;
  readonly lagB: number;
  readonly damping: number | null;
  readonly naturalRate: number;
  readonly fillRate: number;
  readonly exhaustRatio: number;
  readonly relayBand: number;
  readonly tubingTau: number;
  readonly huntingAmplitude: number;
  readonly huntingHz: number;
  /** Hunting dies out with this time constant after each command; infinite for a steady hunter. */
  readonly huntingLife: number;
  readonly stickShort: number;
  readonly stickFor: number;
  readonly gaugeTau: number;
  readonly gaugeUpdate: number;
  readonly pollHz: number;
  readonly whiteNoise: number;
  readonly flickerNoise: number;
  readonly resolution: number;
  readonly outlierRate: number;
  readonly timeoutRate: number;
  readonly setpoints: readonly number[];
  readonly disturbances?: Disturbances;
}

const runs: readonly [readonly number[], ...(readonly number[])[]] = [
  [0, 25, 50, 75, 100, 75, 50, 25, 0],
  [0, 20, 40, 60, 80, 100, 80, 60, 40, 20, 0],
  [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100],
  [5, 25, 50, 75, 95, 75, 50, 25, 5],
];

export function drawKind(random: SeededRandom): UnitKind {
  // The shares add up to a little more than one: they are parts of their sum, or the last kind would never be drawn.
  let left = random.next() * publicKinds.reduce((sum, [, share]) => sum + share, 0);
  for (const [kind, share] of publicKinds) {
    left -= share;
    if (left < 0) return kind;
  }
  return "mixed";
}

export function drawUnit(kind: UnitKind, random: SeededRandom): UnitParameters {
  const wide = kind === "shifted";
  const range = (low: number, high: number): number =>
    random.logUniform(low * (wide ? 0.7 : 1), high * (wide ? 1.5 : 1));
  const width = range(0.02, 0.4);
  const raw = [random.next(), random.next(), random.next(), random.next()];
  const half = raw.reduce((sum, w, i) => sum + w * 2 ** (i - 1), 0);
  const playWeights = raw.map((w) => (w * width) / (2 * half)) as unknown as [number, number, number, number];

  const creeps = kind === "creep" || (kind === "mixed" && random.chance(0.5)) || (wide && random.chance(0.4));
  const creepSize = kind === "creep" ? random.uniform(0.001, 0.003) : random.uniform(0.0002, 0.0012);
  const twoStage = kind === "two-stage";
  const rings = kind === "ringing" || (wide && random.chance(0.25));
  const damping = rings ? random.uniform(0.2, 0.75) : null;
  const lagA = kind === "fast" ? range(0.1, 0.6) : kind === "slow" ? range(3, 8) : range(0.15, 3);
  const envelope = range(0.25, 2.2);
  const hunts = kind === "hunting" || kind === "dying-hunting";
  const harmlessRipple = random.chance(0.3) ? random.uniform(0.001, 0.008) : 0;
  const harmlessDrift = random.chance(0.5) ? random.uniform(-0.008, 0.008) : 0;
  const badDrift = random.logUniform(0.1, 1) * (random.chance(0.5) ? 1 : -1);
  const slews = kind === "slewing" || (wide && random.chance(0.25));
  const usual: UnitParameters = {
    kind,
    deadTime: random.uniform(0, 0.5),
    zero: 0.15 * random.normal(),
    gain: 1 + 0.002 * random.normal(),
    bow: 0.1 * random.normal(),
    playWeights,
    creepShare: creeps ? creepSize * (random.chance(0.8) ? 1 : -1) : 0,
    creepTau: range(20, 120),
    trimShare: twoStage || (wide && random.chance(0.25)) ? random.uniform(0.005, 0.04) : 0,
    trimTau: range(2, 10),
    driftPerMin: kind === "drifting" ? badDrift : harmlessDrift,
    rippleAmplitude: kind === "ripple" ? random.logUniform(0.045, 0.2) : harmlessRipple,
    rippleHz: random.uniform(0.02, 0.05),
    supply: kind === "saturated" ? random.uniform(84, 100) : random.uniform(125, 165),
    lagA,
    lagB: lagA * random.logUniform(0.05, 0.8),
    damping,
    naturalRate: damping === null ? 0 : 1 / (damping * envelope),
    fillRate: kind === "fast" ? range(60, 200) : slews ? range(4, 20) : range(15, 150),
    exhaustRatio: random.logUniform(0.3, 1.2),
    relayBand: random.logUniform(2, 10),
    tubingTau: slews ? range(0.2, 2.5) : range(0.03, 0.8),
    huntingAmplitude: hunts ? random.logUniform(0.045, 0.15) : 0,
    huntingHz: random.logUniform(0.1, 1),
    huntingLife: kind === "dying-hunting" ? random.uniform(5, 13) : Number.POSITIVE_INFINITY,
    stickShort: kind === "sticking" ? random.logUniform(0.06, 0.5) : 0,
    stickFor: random.uniform(2, 8),
    gaugeTau: range(0.03, 0.5),
    gaugeUpdate: kind === "stale" ? range(0.5, 1.5) : range(0.05, 0.5),
    pollHz: random.pick([2, 4, 5, 8, 10, 20]),
    whiteNoise: kind === "noisy" ? range(0.02, 0.06) : range(0.001, 0.012),
    flickerNoise: random.uniform(0, 0.006),
    resolution: kind === "coarse" ? random.pick([0.02, 0.05, 0.1]) : random.pick([0.001, 0.002, 0.005, 0.01]),
    outlierRate: kind === "dirty" ? random.uniform(0.003, 0.02) : random.chance(0.5) ? 0.0005 : 0,
    timeoutRate: kind === "dirty" ? random.uniform(0.01, 0.06) : random.uniform(0, 0.01),
    setpoints: random.pick(runs),
  };
  const unusual = unusualKinds.find((k) => k === kind);
  return unusual === undefined ? usual : { ...usual, ...drawUnusual(unusual, random) };
}
