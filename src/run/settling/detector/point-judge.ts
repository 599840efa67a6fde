import type { SettlingVerdict } from "../settling-rule.ts";
import type { GaugeMemory } from "./gauge-memory.ts";
import { Mixture, maxBlocks, type Prior, type Question } from "./mixture.ts";
import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";
import { Readiness } from "./readiness.ts";
import type { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
import { crossing60 } from "./statistics.ts";
import type { UnitMemory } from "./unit-memory.ts";

export interface Reading {
  readonly value: number;
  readonly u: number;
  readonly residual: number;
  readonly n: number;
  readonly nEffective: number;
  readonly from: number;
  readonly to: number;
}

/**
 * Drift that no short look can see, %/min, one standard deviation: that of a unit that may drift by up to 0.008 a minute or
 * not at all.
 */
const unknownDrift = 0.0033;

const log = (share: number): number => Math.log(share);

/** Decides whether the readings of one point may be averaged and recorded now. */
export class PointJudge {
  readonly #series: Series;
  readonly #unit: UnitMemory;
  readonly #gauge: GaugeMemory;
  readonly #settings: Resolved;
  readonly #ready: Readiness;
  readonly #mixture = new Mixture();
  readonly #slowSd = new Float64Array(slowCount);
  readonly #slowLogWeight = new Float64Array(slowCount);
  readonly #prior: Prior;
  readonly #question: Question = {
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
  #to = 0;
  #first = Number.NaN;
  #passed60 = Number.NaN;
  #nextLook = 0;
  #heldSince = Number.NaN;
  #heldValue = 0;
  /** What the last look said of a point that is not done. */
  waiting: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };

  constructor(series: Series, unit: UnitMemory, gauge: GaugeMemory, settings: Resolved) {
    this.#series = series;
    this.#unit = unit;
    this.#gauge = gauge;
    this.#settings = settings;
    this.#ready = new Readiness(series, unit, gauge, settings);
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

  begin(at: number, from: number, to: number): void {
    this.#start = at;
    this.#step = to - from;
    this.#to = to;
    this.#first = Number.NaN;
    this.#passed60 = Number.NaN;
    this.#nextLook = 0;
    this.#heldSince = Number.NaN;
    this.waiting = { kind: "moving", expected_s: null, confidence: 0 };
  }

  /** When the response passed 60 % of its way; NaN while that is not known. */
  get passed60(): number {
    return this.#passed60;
  }

  /** How many readings the mean of a point needs. */
  readingsWanted(variance: number): number {
    return this.#ready.readingsWanted(variance);
  }

  /** Whether the response is near its end: 60 % of the step done, or long enough waited. */
  arrived(elapsed: number): boolean {
    const s = this.#series;
    if (s.length < 3) return false;
    if (Number.isNaN(this.#first)) this.#first = s.valueAt(0);
    if (Math.abs(this.#step) <= 0.5) return true;
    // At a supply too low for the command the output stays short of it.
    const expected = Math.min(this.#to, this.#unit.ceiling) - Math.min(this.#to - this.#step, this.#unit.ceiling);
    if (Math.abs(expected) <= 0.5) return elapsed > 1.5;
    const share = (s.trailingMean(3) - this.#first) / expected;
    // Nothing moved at all: a long wait, for the unit may be stuck or the command lost.
    return share >= 0.6 || elapsed >= (share < 0.1 ? 30 : 8);
  }

  /** The reading to record, or null with `waiting` set. To be called after every accepted reading once arrived. */
  look(now: number, cautious: boolean): Reading | null {
    if (now < this.#nextLook) return null;
    const s = this.#series;
    const elapsed = now - this.#start;
    this.waiting = this.#foresee(now, elapsed, 0);
    const variance = this.#ready.readingVariance();
    const n = this.#ready.readingsWanted(variance);
    if (s.length < n || this.#ready.frozen(n) || !this.#ready.level(now, n, variance)) return null;
    if (this.#unit.driftSuspect !== null && !this.#ready.standsStill(now, variance)) return null;
    this.#nextLook = now + 0.09;
    this.#weigh(now, elapsed, n, variance);
    if (!(this.#mixture.exceed < this.#settings.alpha)) {
      this.waiting = this.#foresee(now, elapsed, 1 - this.#mixture.exceed);
      return null;
    }
    const reading = this.#reading(now, n, variance);
    return cautious && !this.#hasStood(reading) ? null : reading;
  }

  /** Remembers what this point showed of the unit and the gauge. To be called once, when its reading is recorded. */
  learn(): void {
    const mixture = this.#mixture;
    // Points that stood level clear a suspicion that was never more than that.
    if (this.#unit.driftSuspect !== null && !this.#unit.drifts && --this.#unit.levelWanted <= 0) {
      this.#unit.driftSuspect = null;
    }
    this.#unit.learnTau(mixture.tauWeight, this.#step, 1);
    const freedom = this.#question.blocks - 4;
    if (freedom >= 4 && mixture.dispersion < 2) {
      this.#gauge.sawNoise(mixture.dispersion * this.#question.variance, Math.min(10, freedom));
    }
  }

  /** A unit that fooled the judge before has to stand longer; when it slips meanwhile, half of that time again. */
  #hasStood(reading: Reading): boolean {
    const caution = this.#unit.caution_s;
    if (!(caution > 0)) return true;
    const now = reading.to;
    if (Number.isNaN(this.#heldSince)) this.#heldSince = now;
    else if (Math.abs(reading.value - this.#heldValue) > 0.5 * this.#settings.limit + 3 * reading.u) {
      this.#heldSince = now - caution / 2;
    } else return now - this.#heldSince >= caution;
    this.#heldValue = reading.value;
    return false;
  }

  #weigh(now: number, elapsed: number, n: number, variance: number): void {
    const s = this.#series;
    const unit = this.#unit;
    const q = this.#gauge.resolution;
    const limit = this.#settings.limit;
    const level = s.trailingMean(n);
    if (Number.isNaN(this.#passed60) || elapsed < 30) {
      this.#passed60 = crossing60(s, level, this.#start);
      unit.slow.placeStep(this.#passed60);
    }
    const size = Math.max(0.3, Math.min(Math.abs(this.#step) || 0.3, Math.abs(level - this.#first) * 1.2 + 0.3));
    // Since when the response is within 5 % of the step (or 12 limits) of where it is now: a mode can be no larger than what
    // such an approach leaves of it.
    const wide = Math.max(0.05 * size, 12 * limit, 10 * q, 12 * Math.sqrt(variance));
    let entered = s.length - 1;
    while (entered > 0 && Math.abs(s.valueAt(entered - 1) - level) <= wide) entered--;
    const since = now - s.at(entered);
    const sinceStep = now - this.#passed60;
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
    const question = this.#question;
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
      this.#mixture.ask(question, prior);
      if (this.#mixture.dispersion < 1.6 + 3 / Math.sqrt(question.blocks) || band < 2.2 * limit) break;
      // No model explains so much of the response: look at less of it.
      band *= 0.4;
    }
  }

  #fillBlocks(first: number, n: number, now: number): void {
    const s = this.#series;
    const mixture = this.#mixture;
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
    this.#question.blocks = b;
    this.#question.readingFrom = Math.max(0, b - Math.max(1, Math.round(n / per)));
  }

  #reading(now: number, n: number, variance: number): Reading {
    const s = this.#series;
    const q = this.#gauge.resolution;
    // However sure the models are: what moved a moment ago may move on by a good part of that.
    const drift = (unknownDrift * this.#question.horizon) / 60;
    const residual = Math.hypot(this.#mixture.lag, this.#mixture.lagSd, Math.max(0.4 * this.#ready.moved, drift));
    const rounding = q ** 2 / 12;
    const coarse = variance < (0.6 * q) ** 2;
    const noise = (coarse ? Math.max(0, variance - rounding) / n + rounding : variance / n) + this.#gauge.wander;
    // On a display coarser than its noise the doubt about what is still to come is made of that very rounding: the larger
    // of the two counts, or the digit would be charged twice.
    const shared = coarse ? Math.min(rounding, residual ** 2) : 0;
    return {
      value: s.trailingMean(n),
      u: Math.sqrt(noise + residual ** 2 - shared),
      residual,
      n,
      nEffective: Math.max(1, Math.min(n, variance / noise)),
      from: s.at(s.length - n),
      to: now,
    };
  }

  /** How long it may still take: from the models when they were asked, else from what earlier points of the unit took. */
  #foresee(now: number, elapsed: number, confidence: number): SettlingVerdict {
    const typical = this.#unit.typicalWait(this.#step);
    let expected = typical === null ? null : Math.max(0, typical - elapsed);
    if (confidence > 0) {
      const mixture = this.#mixture;
      let tau = 0;
      let weight = 0;
      for (let j = 0; j < modeCount; j++) {
        tau += (mixture.tauWeight[j] ?? 0) * (modeTau[j] ?? 0);
        weight += mixture.tauWeight[j] ?? 0;
      }
      const reach = Math.abs(mixture.lag) + 2.5 * mixture.lagSd;
      if (weight > 0.3) expected = Math.max(0, (tau / weight) * Math.log(reach / this.#question.allowance));
    }
    const held = this.#unit.caution_s - (Number.isNaN(this.#heldSince) ? 0 : now - this.#heldSince);
    return {
      kind: "settling",
      expected_s: expected === null ? null : expected + Math.max(0, held),
      confidence: Math.max(0, Math.min(1, confidence)),
    };
  }
}
