import type { GaugeMemory } from "./gauge-memory.ts";

/** No gauge reads ten thousand times the span. */
const absurd = 1e6;

/**
 * Cleans the stream of one point, causally and in this order: refuse what is no number or goes back in time; collapse
 * repeats of the same gauge sample; hold back spikes until three in a row on one side show that the pressure did move.
 */
export class Conditioner {
  readonly #gauge: GaugeMemory;
  readonly #recent = new Float64Array(7);
  readonly #sorted = new Float64Array(7);
  #recentCount = 0;
  #lastTime = Number.NEGATIVE_INFINITY;
  #lastValue = Number.NaN;
  #lastAccepted = Number.NEGATIVE_INFINITY;
  #lastStep = 0;
  /** When the value last changed; the start while it never did. */
  changedAt = 0;
  changes = 0;
  readonly #heldTime = [0, 0, 0];
  readonly #heldValue = [0, 0, 0];
  #held = 0;
  #heldSide = 0;
  /** Readings in a row whose time did not advance. */
  backward = 0;
  /** When a reading last brought something new. */
  freshAt = Number.NEGATIVE_INFINITY;
  spikes = 0;

  constructor(gauge: GaugeMemory) {
    this.#gauge = gauge;
  }

  begin(at: number): void {
    this.#recentCount = 0;
    this.#lastTime = Number.NEGATIVE_INFINITY;
    this.#lastValue = Number.NaN;
    this.#lastAccepted = Number.NEGATIVE_INFINITY;
    this.changedAt = at;
    this.changes = 0;
    this.#held = 0;
    this.backward = 0;
    this.spikes = 0;
    this.freshAt = at;
  }

  /** Hands every reading that is accepted by this sample to `accept`, oldest first. */
  take(time: number, value: number, accept: (time: number, value: number) => void): void {
    if (!Number.isFinite(time) || !(time > this.#lastTime)) {
      this.backward++;
      return;
    }
    this.backward = 0;
    this.#lastTime = time;
    if (!(Math.abs(value) < absurd)) return;
    if (!this.#isNew(time, value)) return;
    if (this.#isSpike(value)) {
      this.#hold(time, value, accept);
      return;
    }
    this.#held = 0;
    this.#accept(time, value, accept);
  }

  #isNew(time: number, value: number): boolean {
    const q = this.#gauge.resolution;
    const repeat = Math.abs(value - this.#lastValue) < 1e-9 + 0.25 * q;
    if (!repeat) {
      // A held spike that is shown again is still the same gauge sample.
      if (this.#held > 0 && value === this.#heldValue[this.#held - 1]) {
        return time - (this.#heldTime[this.#held - 1] ?? 0) > 1.5 * this.#gauge.updatePeriod;
      }
      if (!Number.isNaN(this.#lastValue)) {
        this.#gauge.sawChange(this.changes > 0 ? time - this.changedAt : 0, Math.abs(value - this.#lastValue));
        this.changes++;
        this.changedAt = time;
      }
      return true;
    }
    const period = this.#gauge.updatePeriod;
    // A noisy gauge that shows one value for so long is not alive.
    if (this.#gauge.restless && time - this.changedAt > 10 * period) return false;
    // Where the display hides the noise, equal readings are common once the pressure stands; while it moves they are stale.
    const standing = this.#gauge.quiet && this.#lastStep < 1.1 * q;
    const before = this.#held > 0 ? (this.#heldTime[this.#held - 1] ?? 0) : this.#lastAccepted;
    return time - before > (standing ? 0.85 : 1.5) * period;
  }

  #isSpike(value: number): boolean {
    const n = this.#recentCount;
    if (n < 3) return false;
    const centre = this.#median(n);
    for (let i = 0; i < n; i++) this.#sorted[i] = Math.abs((this.#recent[i] ?? 0) - centre);
    const spread = 1.4826 * this.#middle(n);
    return Math.abs(value - centre) > Math.max(8 * spread, 6 * this.#gauge.resolution, 0.1);
  }

  #hold(time: number, value: number, accept: (time: number, value: number) => void): void {
    const n = Math.min(7, this.#recentCount);
    const side = Math.sign(value - this.#median(n));
    if (this.#held > 0 && side !== this.#heldSide) this.#held = 0;
    this.#heldSide = side;
    this.#heldTime[this.#held] = time;
    this.#heldValue[this.#held] = value;
    this.#held++;
    this.spikes++;
    if (this.#held < 3) return;
    this.spikes -= 3;
    this.#held = 0;
    this.#recentCount = 0;
    for (let i = 0; i < 3; i++) this.#accept(this.#heldTime[i] ?? time, this.#heldValue[i] ?? value, accept);
  }

  #accept(time: number, value: number, accept: (time: number, value: number) => void): void {
    if (this.#recentCount < 7) this.#recent[this.#recentCount++] = value;
    else {
      this.#recent.copyWithin(0, 1);
      this.#recent[6] = value;
    }
    this.#gauge.sawReading(value === this.#lastValue);
    this.#lastStep = Number.isNaN(this.#lastValue) ? 0 : Math.abs(value - this.#lastValue);
    this.#lastValue = value;
    this.#lastAccepted = time;
    this.freshAt = time;
    accept(time, value);
  }

  #median(n: number): number {
    for (let i = 0; i < n; i++) this.#sorted[i] = this.#recent[i] ?? 0;
    return this.#middle(n);
  }

  /** Insertion sort of at most seven numbers, then the middle one. */
  #middle(n: number): number {
    const s = this.#sorted;
    for (let i = 1; i < n; i++) {
      const x = s[i] ?? 0;
      let j = i - 1;
      while (j >= 0 && (s[j] ?? 0) > x) {
        s[j + 1] = s[j] ?? 0;
        j--;
      }
      s[j + 1] = x;
    }
    return s[n >> 1] ?? 0;
  }
}
