import type { GaugeMemory } from "./gauge-memory.ts";
import type { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
import { localVariance, robustVariance, slope } from "./statistics.ts";
import { halfSwing } from "./turns.ts";
import type { UnitMemory } from "./unit-memory.ts";

/** The plain checks that the readings of a point must pass before any model is asked about what is still to come. */
export class Readiness {
  readonly #series: Series;
  readonly #unit: UnitMemory;
  readonly #gauge: GaugeMemory;
  readonly #settings: Resolved;
  /** Range of the short means of the last look beyond what noise explains, % of span. */
  moved = 0;

  constructor(series: Series, unit: UnitMemory, gauge: GaugeMemory, settings: Resolved) {
    this.#series = series;
    this.#unit = unit;
    this.#gauge = gauge;
    this.#settings = settings;
  }

  /** How many readings bring the standard error of their mean to a sixth of the limit; three at least, 20 s at most. */
  readingsWanted(variance: number): number {
    const period = Number.isFinite(this.#gauge.updatePeriod) ? Math.max(0.04, this.#gauge.updatePeriod) : 0.5;
    // A display coarser than the noise rounds every reading the same way: more of them make nothing better.
    const averaged = this.#gauge.quiet ? Math.max(0, variance - this.#gauge.resolution ** 2 / 12) : variance;
    const byNoise = Math.ceil(averaged / (this.#settings.limit / 6) ** 2);
    return Math.max(3, Math.min(byNoise, Math.ceil(20 / period), 400));
  }

  /** Variance of one reading: what is remembered, unless the readings of now are clearly noisier. */
  readingVariance(): number {
    const s = this.#series;
    const q = this.#gauge.resolution;
    const remembered = this.#gauge.variance;
    const known = this.#gauge.noiseFreedom >= 8;
    const limit = this.#settings.limit;
    const close = known ? 2 * limit + 2 * q + 5 * Math.sqrt(remembered) : 12 * limit + 10 * q;
    const centre = s.trailingMean(3);
    let near = s.length;
    while (near > 0 && s.length - near < 24 && Math.abs(s.valueAt(near - 1) - centre) <= close) near--;
    if (s.length - near < (known ? 24 : 6)) return remembered;
    if (!known) return Math.max(remembered, localVariance(s, s.length - near, q));
    const local = robustVariance(s, s.length - near, q);
    return local > 3 * remembered ? local : remembered;
  }

  /** Equal readings from a gauge known to be noisy are one reading that does not renew itself. */
  frozen(n: number): boolean {
    if (!this.#gauge.restless) return false;
    const s = this.#series;
    const last = s.valueAt(s.length - 1);
    for (let i = s.length - 2; i >= Math.max(0, s.length - Math.max(n, 5)); i--)
      if (s.valueAt(i) !== last) return false;
    return true;
  }

  /** Short means over the recent past must lie close together; `step` is that of the point, % of span. */
  level(now: number, n: number, variance: number, step: number): boolean {
    const s = this.#series;
    const ringing = this.#unit.ringing;
    const learned = ringing === null ? 0 : Math.min(0.6 * ringing.period, 1.5 * ringing.envelope);
    // A swing that the exercise did not show, because a full stroke is limited in its rate, shows in the point itself; so
    // does one of a direction that the unit was not seen to go in before.
    const visible = Math.max(7 * Math.sqrt(variance), 3 * this.#gauge.resolution, this.#settings.limit);
    const unseen = ringing === null || !this.#unit.knows(step);
    const swing = Math.max(learned, unseen ? 1.5 * halfSwing(s, visible) : 0);
    const window = Math.max(now - s.at(s.length - n), this.#unit.exercised ? 0.8 : 2, swing);
    const first = Math.min(s.length - n, s.since(now - window));
    const m = Math.max(1, Math.min(Math.floor(n / 3), 20));
    let lo = Number.POSITIVE_INFINITY;
    let hi = Number.NEGATIVE_INFINITY;
    let sum = 0;
    let k = 0;
    for (let i = s.length - 1; i >= first; i--) {
      sum += s.valueAt(i);
      k++;
      if (k < m) continue;
      lo = Math.min(lo, sum / m);
      hi = Math.max(hi, sum / m);
      sum = 0;
      k = 0;
    }
    const noise = Math.sqrt(variance / m);
    this.moved = Math.max(0, hi - lo - 2.5 * noise);
    return hi - lo < 0.4 * this.#settings.limit + this.#gauge.resolution + 3.2 * noise;
  }

  /** For a unit that may drift: the slope itself must be shown to be small, over a stretch and over its later half. */
  standsStill(now: number, variance: number): boolean {
    const s = this.#series;
    for (const window of this.#unit.drifts ? [40, 80] : [8, 12, 20, 40, 80]) {
      if (s.length < 6 || now - s.at(0) < window) return false;
      const [rate, se] = slope(s, now - window, variance, this.#slowAt);
      if (!(se < 0.016 && Math.abs(rate) + 2 * se < 0.05)) continue;
      // The end of a response may cancel a drift over the whole stretch, but not over both of its halves.
      const middle = now - window / 2;
      const [late, lateSe] = slope(s, middle, variance, this.#slowAt);
      const [early] = slope(s, now - window, variance, this.#slowAt, middle);
      if (Math.abs(late) < 0.05 + lateSe && (!this.#unit.drifts || Math.abs(early) < 0.05 + lateSe)) return true;
    }
    return false;
  }

  readonly #slowAt = (time: number): number => this.#unit.slow.at(time);
}
