import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";

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
  #soaked = false;
  /** Slow movement as a share of the step, counted from when the response passed 60 % of it; one entry a slow mode. */
  readonly slowShare = new Float64Array(slowCount);
  readonly slowShareSd = new Float64Array(slowCount);
  /** Slow movement left over from earlier steps, % of span, at the time `#carriedAt`. */
  readonly #carried = new Float64Array(slowCount);
  #carriedAt = Number.NaN;
  ringing: Ringing | null = null;
  unsteady: Unsteadiness | null = null;
  /** %/min, when the exercise ended with a slope that creep may or may not explain. */
  driftSuspect: number | null = null;
  /** Highest output seen at a high command that the unit did not reach, % of span: its supply is too low. */
  ceiling = Number.POSITIVE_INFINITY;
  /** The drift was seen beyond doubt. */
  drifts = false;
  /** Extra time that readings of this unit must stand before they are believed, s. */
  caution_s = 0;
  /** How far the unit was found from its last reading when the next command was given, % of span. */
  movedAfterReading: number | null = null;

  constructor() {
    for (let s = 0; s < slowCount; s++) this.slowShareSd[s] = s < creepFrom ? 0.02 : 0.0012;
  }

  get exercised(): boolean {
    return this.#soaked;
  }

  get points(): number {
    return this.#points;
  }

  learnSlow(share: Float64Array, sd: Float64Array): void {
    for (let s = 0; s < slowCount; s++) {
      const floor = s < creepFrom ? 0.0003 : 0.0001;
      const now = share[s] ?? 0;
      const nowSd = Math.max(floor, sd[s] ?? 0, 0.2 * Math.abs(now));
      if (!this.#soaked) {
        this.slowShare[s] = now;
        this.slowShareSd[s] = nowSd;
        continue;
      }
      const before = this.slowShare[s] ?? 0;
      const beforeSd = this.slowShareSd[s] ?? 1;
      const w = beforeSd ** 2 / (beforeSd ** 2 + nowSd ** 2);
      this.slowShare[s] = before + w * (now - before);
      // Two strokes that disagree leave at least half of their difference as doubt.
      this.slowShareSd[s] = Math.max(Math.sqrt(w) * nowSd, Math.abs(now - before) / 2, floor);
    }
    this.#soaked = true;
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

  beginStep(at: number, step: number): void {
    const gap = at - this.#carriedAt;
    for (let s = 0; s < slowCount; s++) {
      const left = gap >= 0 ? (this.#carried[s] ?? 0) * Math.exp(-gap / (slowTau[s] ?? 1)) : 0;
      this.#carried[s] = left;
    }
    this.#carriedAt = at;
    this.#step = step;
    this.#stepAt = Number.NaN;
  }

  #step = 0;
  #stepAt = Number.NaN;

  /** The step is counted from when the response passed 60 % of it. */
  placeStep(at: number): void {
    this.#stepAt = at;
  }

  /** Adds the step just done to what later steps still have to carry. */
  endStep(): void {
    if (Number.isNaN(this.#stepAt)) return;
    for (let s = 0; s < slowCount; s++) {
      const tau = slowTau[s] ?? 1;
      this.#carried[s] =
        (this.#carried[s] ?? 0) +
        this.#step * (this.slowShare[s] ?? 0) * Math.exp((this.#stepAt - this.#carriedAt) / tau);
    }
  }

  /** The part of `slowAt` that earlier steps left over. */
  slowBefore(time: number): number {
    let sum = 0;
    for (let s = 0; s < slowCount; s++) {
      sum += (this.#carried[s] ?? 0) * Math.exp(-(time - this.#carriedAt) / (slowTau[s] ?? 1));
    }
    return sum;
  }

  /** Slow movement that is not over at a time, % of span (what the readings are away from where they will end). */
  slowAt(time: number): number {
    return this.#slow(time, 0);
  }

  /** The part of `slowAt` that is creep. */
  creepAt(time: number): number {
    return this.#slow(time, creepFrom);
  }

  #slow(time: number, first: number): number {
    let sum = 0;
    const placed = !Number.isNaN(this.#stepAt);
    for (let s = first; s < slowCount; s++) {
      const share = (this.slowShare[s] ?? 0) * this.#step;
      const carried = this.#carried[s] ?? 0;
      if (Math.abs(share) + Math.abs(carried) < 2e-4) continue;
      const tau = slowTau[s] ?? 1;
      if (placed) sum += share * Math.exp(-Math.max(-2, (time - this.#stepAt) / tau));
      sum += carried * Math.exp(-(time - this.#carriedAt) / tau);
    }
    return sum;
  }
}
