import { modeCount, modeTau } from "./modes.ts";
import { SlowMovement } from "./slow-movement.ts";

export interface Ringing {
  readonly period: number;
  readonly envelope: number;
}

export interface Unsteadiness {
  /** Half the peak-to-peak, % of span. */
  readonly amplitude: number;
}

/** What was learned about the unit under test over the points of one run. */
export class UnitMemory {
  readonly #up = new Float64Array(modeCount);
  readonly #down = new Float64Array(modeCount);
  #points = 0;
  readonly #waits = [Number.NaN, Number.NaN];
  readonly slow = new SlowMovement();
  ringing: Ringing | null = null;
  unsteady: Unsteadiness | null = null;
  /** %/min, when the exercise ended with a slope that creep may or may not explain. */
  driftSuspect: number | null = null;
  /** Points that have to stand level before the suspicion is dropped. */
  levelWanted = 2;
  /** Highest output seen at a high command that the unit did not reach, % of span: its supply is too low. */
  ceiling = Number.POSITIVE_INFINITY;
  /** A point was called drifting. */
  driftSeen = false;
  /** The drift was seen beyond doubt. */
  drifts = false;
  /** Extra time that readings of this unit must stand before they are believed, s. */
  caution_s = 0;
  /** How far the unit was found from its last reading when the next command was given, % of span. */
  movedAfterReading: number | null = null;

  get exercised(): boolean {
    return this.slow.learned;
  }

  get points(): number {
    return this.#points;
  }

  learnTau(weight: Float64Array, direction: number, trust: number): void {
    const same = direction >= 0 ? this.#up : this.#down;
    let total = 0;
    for (let j = 0; j < modeCount; j++) total += weight[j] ?? 0;
    if (!(total > 0.05)) return;
    for (let j = 0; j < modeCount; j++) {
      // Smoothed over the neighbours: the grid is finer than what one point of the range tells of the next.
      const w =
        0.4 * (weight[j] ?? 0) +
        0.2 * ((weight[j - 1] ?? 0) + (weight[j + 1] ?? 0)) +
        0.1 * ((weight[j - 2] ?? 0) + (weight[j + 2] ?? 0));
      same[j] = 0.8 * (same[j] ?? 0) + (trust * w) / total;
    }
  }

  /** Notes how long a reading of this unit took. */
  learnWait(direction: number, wait_s: number): void {
    this.#points++;
    const side = direction >= 0 ? 0 : 1;
    const before = this.#waits[side] ?? Number.NaN;
    this.#waits[side] = Number.isNaN(before) ? wait_s : 0.6 * before + 0.4 * wait_s;
  }

  /** Whether a response in this direction was seen to its end before. */
  knows(direction: number): boolean {
    const same = direction >= 0 ? this.#up : this.#down;
    return same.some((w) => w > 0);
  }

  /** How long a reading may be expected to take, s; null before the first. */
  typicalWait(direction: number): number | null {
    const side = direction >= 0 ? 0 : 1;
    const same = this.#waits[side] ?? Number.NaN;
    const wait = Number.isNaN(same) ? (this.#waits[1 - side] ?? Number.NaN) : same;
    return Number.isNaN(wait) ? null : wait;
  }

  /** Log prior weight of each main time constant for a step in this direction. */
  tauPrior(direction: number, doubt: number, out: Float64Array): void {
    const same = direction >= 0 ? this.#up : this.#down;
    const other = direction >= 0 ? this.#down : this.#up;
    let total = 0;
    for (let j = 0; j < modeCount; j++) total += (same[j] ?? 0) + 0.3 * (other[j] ?? 0);
    const known = total / (total + doubt);
    for (let j = 0; j < modeCount; j++) {
      const learned = total > 0 ? ((same[j] ?? 0) + 0.3 * (other[j] ?? 0)) / total : 0;
      out[j] = Math.log(known * learned + (1 - known) / modeCount);
    }
  }

  /** Time constant that speaks loudest in the last part of the responses; null before anything was learned. */
  leadingTau(): number | null {
    let best = 0;
    let tau: number | null = null;
    for (let j = 0; j < modeCount; j++) {
      const w = (this.#up[j] ?? 0) + (this.#down[j] ?? 0);
      if (w > best) {
        best = w;
        tau = modeTau[j] ?? null;
      }
    }
    return tau;
  }
}
