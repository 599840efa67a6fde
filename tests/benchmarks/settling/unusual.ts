import type { SeededRandom } from "./seeded-random.ts";

/**
 * Units and gauges outside the family, to see how a rule fares with what it was not made for. No rule's figure was ever
 * chosen on them alone.
 */
export const unusualKinds = [
  "sticking",
  "dying-hunting",
  "shifted",
  "supply-dips",
  "slipping",
  "filtered",
  "long-dead-time",
  "stale-coarse",
  "gappy",
  "long-creep",
  "beating",
  "wandering",
  "twice-ringing",
] as const;

export type UnusualKind = (typeof unusualKinds)[number];

/** What disturbs a unit beyond its own response; amounts in % of span, times in s. */
export interface Disturbances {
  /** The supply gives way and comes back in two steps, once in the first half minute of most points. */
  readonly dip: number;
  /** The output slips to another value and stays there, in a part of the points. */
  readonly slip: number;
  /** Two swings of neighbouring rates, for ever. */
  readonly beat: number;
  readonly beatHz: number;
  /** A slow swing of the whole, as of the room's temperature. */
  readonly wander: number;
  readonly wanderPeriod_s: number;
}

const calm: Disturbances = { dip: 0, slip: 0, beat: 0, beatHz: 0.3, wander: 0, wanderPeriod_s: 400 };

/** What a kind adds or replaces in the parameters of an ordinary unit. */
export function drawUnusual(kind: UnusualKind, random: SeededRandom) {
  switch (kind) {
    case "supply-dips":
      return { disturbances: { ...calm, dip: random.logUniform(0.1, 3) } };
    case "slipping":
      return { disturbances: { ...calm, slip: random.logUniform(0.06, 0.5) * (random.chance(0.5) ? 1 : -1) } };
    case "beating":
      return { disturbances: { ...calm, beat: random.logUniform(0.04, 0.15), beatHz: random.logUniform(0.1, 0.8) } };
    case "wandering":
      return {
        disturbances: { ...calm, wander: random.uniform(0.02, 0.1), wanderPeriod_s: random.logUniform(200, 900) },
      };
    case "filtered":
      return { gaugeTau: random.logUniform(1, 4) };
    case "long-dead-time":
      return { deadTime: random.uniform(1, 6) };
    case "stale-coarse":
      return { gaugeUpdate: random.logUniform(0.5, 1.5), resolution: random.pick([0.02, 0.05, 0.1]) };
    case "gappy":
      return { timeoutRate: random.uniform(0.2, 0.6) };
    case "long-creep":
      return {
        creepShare: random.uniform(0.001, 0.003) * (random.chance(0.8) ? 1 : -1),
        creepTau: random.logUniform(120, 400),
      };
    case "twice-ringing": {
      const damping = random.uniform(0.1, 0.3);
      // The relay's own lag behind a lightly damped core: a full stroke slews and hides what a small step shows.
      return {
        damping,
        naturalRate: 1 / (damping * random.logUniform(1, 4)),
        fillRate: random.logUniform(4, 15),
      };
    }
    default:
      return {};
  }
}

/** The disturbances of one unit in time. `lasting` moves where the unit will stand, `passing` does not. */
export class Disturber {
  readonly #what: Disturbances;
  readonly #random: SeededRandom;
  readonly #phase: number;
  #dipFrom = Number.POSITIVE_INFINITY;
  #dipHalf = 0;
  #slipAt = Number.POSITIVE_INFINITY;

  constructor(what: Disturbances, random: SeededRandom) {
    this.#what = what;
    this.#random = random;
    this.#phase = random.uniform(0, 2 * Math.PI);
  }

  command(): void {
    const random = this.#random;
    const { dip, slip } = this.#what;
    if (dip > 0) this.#dipFrom = random.chance(0.7) ? random.uniform(1, 30) : Number.POSITIVE_INFINITY;
    if (dip > 0) this.#dipHalf = random.uniform(1, 6);
    if (slip !== 0) this.#slipAt = random.chance(0.4) ? random.uniform(2, 20) : Number.POSITIVE_INFINITY;
  }

  lasting(time: number, sinceCommand: number): number {
    const { slip, wander, wanderPeriod_s } = this.#what;
    const slipped = sinceCommand >= this.#slipAt ? 0 : -slip * (this.#slipAt < 1e9 ? 1 : 0);
    return slipped + wander * Math.sin((2 * Math.PI * time) / wanderPeriod_s + this.#phase);
  }

  passing(time: number, sinceCommand: number): number {
    const { dip, beat, beatHz } = this.#what;
    const into = sinceCommand - this.#dipFrom;
    const down = into < 0 || into >= 2 * this.#dipHalf ? 0 : into < this.#dipHalf ? -dip : -dip / 3;
    const turn = 2 * Math.PI * beatHz * time;
    return down + beat * (Math.sin(turn) + Math.sin(1.13 * turn + this.#phase));
  }
}
