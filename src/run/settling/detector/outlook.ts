import type { GaugeMemory } from "./gauge-memory.ts";
import { Mixture, maxBlocks, type Prior, type Question } from "./mixture.ts";
import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";
import type { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
import { crossing60 } from "./statistics.ts";
import type { UnitMemory } from "./unit-memory.ts";

const log = (share: number): number => Math.log(share);

/** What is still to come at a point: puts the readings and all that is known of the unit before the mixture of models. */
export class Outlook {
  readonly #series: Series;
  readonly #unit: UnitMemory;
  readonly #gauge: GaugeMemory;
  readonly #settings: Resolved;
  /** The models, with what they said last. */
  readonly mixture = new Mixture();
  readonly #slowSd = new Float64Array(slowCount);
  readonly #slowLogWeight = new Float64Array(slowCount);
  readonly #prior: Prior;
  /** What they were asked last. */
  readonly question: Question = {
    blocks: 0,
    readingFrom: 0,
    variance: 0,
    horizon: 0,
    allowance: 0,
    slowSd: 0,
    slowLag: 0,
  };
  #start = 0;
  #step = 0;
  /** When the response passed 60 % of its way; NaN while that is not known. */
  passed60 = Number.NaN;

  constructor(series: Series, unit: UnitMemory, gauge: GaugeMemory, settings: Resolved) {
    this.#series = series;
    this.#unit = unit;
    this.#gauge = gauge;
    this.#settings = settings;
    this.#prior = {
      mainLogWeight: new Float64Array(modeCount),
      mainSd: new Float64Array(modeCount),
      slowSd: this.#slowSd,
      slowLogWeight: this.#slowLogWeight,
      pairLogWeight: 0,
      lineLogWeight: log(0.05),
      lineSd: 0.05,
      ringLogWeight: log(0.1),
      ringPeriod: 0,
      ringEnvelope: 0,
      ringSd: 1,
    };
    for (let k = 0; k < slowCount; k++) {
      this.#slowLogWeight[k] = k < creepFrom ? log(0.4 / creepFrom) : log(0.3 / (slowCount - creepFrom));
    }
  }

  begin(at: number, step: number): void {
    this.#start = at;
    this.#step = step;
    this.passed60 = Number.NaN;
  }

  /** Asks about a mean of the last `n` readings; `firstLevel` is where the point began, % of span. The answer is in `mixture`. */
  weigh(now: number, firstLevel: number, n: number, variance: number): void {
    const elapsed = now - this.#start;
    const s = this.#series;
    const unit = this.#unit;
    const q = this.#gauge.resolution;
    const limit = this.#settings.limit;
    const level = s.trailingMean(n);
    if (Number.isNaN(this.passed60) || elapsed < 30) {
      this.passed60 = crossing60(s, level, this.#start);
      unit.slow.placeStep(this.passed60);
    }
    const size = Math.max(0.3, Math.min(Math.abs(this.#step) || 0.3, Math.abs(level - firstLevel) * 1.2 + 0.3));
    // Since when the response is within 5 % of the step (or 12 limits) of where it is now: a mode can be no larger than what
    // such an approach leaves of it.
    const wide = Math.max(0.05 * size, 12 * limit, 10 * q, 12 * Math.sqrt(variance));
    let entered = s.length - 1;
    while (entered > 0 && Math.abs(s.valueAt(entered - 1) - level) <= wide) entered--;
    const since = now - s.at(entered);
    const sinceStep = now - this.passed60;
    const prior = this.#prior;
    for (let j = 0; j < modeCount; j++) {
      prior.mainSd[j] = Math.max(1e-5, 1.5 * wide * Math.exp(-since / (modeTau[j] ?? 1)));
    }
    for (let k = 0; k < slowCount; k++) {
      const share = unit.slow.shareSd[k] ?? 0;
      this.#slowSd[k] = Math.max(1e-5, size * share * Math.exp(-sinceStep / (slowTau[k] ?? 1)));
    }
    unit.tauPrior(this.#step, 0.25, prior.mainLogWeight);
    prior.lineSd = unit.exercised ? 0.01 : 0.05;
    const ringing = unit.ringing;
    prior.ringLogWeight = ringing !== null ? log(0.4) : unit.exercised ? -20 : log(0.1);
    prior.ringPeriod = ringing?.period ?? 0;
    prior.ringEnvelope = ringing?.envelope ?? 0;
    prior.ringSd = 1.5 * wide * Math.exp(-since / (ringing?.envelope ?? 2.5));
    const question = this.question;
    // The indication wanders: within about a second readings share the same error, however many there are.
    const period = this.#gauge.updatePeriod;
    question.variance =
      variance + this.#gauge.wander * (Number.isFinite(period) ? Math.max(1, 1 / Math.max(0.04, period)) : 1);
    question.horizon = Math.max(0, 60 - elapsed);
    // Up and down may differ widely; what was learned the other way round is trusted less.
    const trust = unit.knows(this.#step) ? 1 : 0.75;
    question.allowance = trust * this.#settings.gamma * limit + q / 4;
    let slow = 0;
    for (let r = s.length - n; r < s.length; r++) slow += unit.slow.at(s.at(r)) / n;
    question.slowLag = slow - unit.slow.creepAt(now + question.horizon);
    let band = wide;
    for (let attempt = 0; attempt < 5; attempt++) {
      let first = s.length - 1;
      while (first > 0 && Math.abs(s.valueAt(first - 1) - level) <= band) first--;
      const least = Math.max(n, 5);
      if (s.length - first < least) first = Math.max(0, s.length - least);
      this.#fillBlocks(first, n, now);
      this.mixture.ask(question, prior);
      if (this.mixture.dispersion < 1.6 + 3 / Math.sqrt(question.blocks) || band < 2.2 * limit) break;
      // No model explains so much of the response: look at less of it.
      band *= 0.4;
    }
  }

  #fillBlocks(first: number, n: number, now: number): void {
    const s = this.#series;
    const mixture = this.mixture;
    const count = s.length - first;
    const per = Math.max(1, Math.ceil(count / maxBlocks));
    let b = 0;
    let left = count % per;
    for (let i = first; i < s.length; ) {
      const take = left > 0 ? left : per;
      left = 0;
      let t = 0;
      let v = 0;
      for (let k = 0; k < take; k++, i++) {
        t += s.at(i);
        v += s.valueAt(i) - this.#unit.slow.at(s.at(i));
      }
      mixture.time[b] = t / take - now;
      mixture.level[b] = v / take;
      mixture.weight[b] = take;
      b++;
    }
    this.question.blocks = b;
    this.question.readingFrom = Math.max(0, b - Math.max(1, Math.round(n / per)));
  }
}
