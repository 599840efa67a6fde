import type { SettlingVerdict } from "../settling-rule.ts";
import type { GaugeMemory } from "./gauge-memory.ts";
import { modeCount, modeTau } from "./modes.ts";
import { Outlook } from "./outlook.ts";
import { Readiness } from "./readiness.ts";
import type { Series } from "./series.ts";
import type { Resolved } from "./settings.ts";
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

/** Decides whether the readings of one point may be averaged and recorded now. */
export class PointJudge {
  readonly #series: Series;
  readonly #unit: UnitMemory;
  readonly #gauge: GaugeMemory;
  readonly #settings: Resolved;
  readonly #ready: Readiness;
  readonly #outlook: Outlook;
  #start = 0;
  #step = 0;
  #to = 0;
  #first = Number.NaN;
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
    this.#outlook = new Outlook(series, unit, gauge, settings);
  }

  begin(at: number, from: number, to: number): void {
    this.#start = at;
    this.#step = to - from;
    this.#to = to;
    this.#first = Number.NaN;
    this.#outlook.begin(at, to - from);
    this.#nextLook = 0;
    this.#heldSince = Number.NaN;
    this.waiting = { kind: "moving", expected_s: null, confidence: 0 };
  }

  /** When the response passed 60 % of its way; NaN while that is not known. */
  get passed60(): number {
    return this.#outlook.passed60;
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
    if (s.length < n || this.#ready.frozen(n) || !this.#ready.level(now, n, variance, this.#step)) return null;
    if (this.#unit.driftSuspect !== null && !this.#ready.standsStill(now, variance)) return null;
    this.#nextLook = now + 0.09;
    this.#outlook.weigh(now, this.#first, n, variance);
    if (!(this.#outlook.mixture.votes.exceed < this.#settings.alpha)) {
      this.waiting = this.#foresee(now, elapsed, 1 - this.#outlook.mixture.votes.exceed);
      return null;
    }
    const reading = this.#reading(now, n, variance);
    return cautious && !this.#hasStood(reading) ? null : reading;
  }

  /** Remembers what this point showed of the unit and the gauge. To be called once, when its reading is recorded. */
  learn(): void {
    const { mixture } = this.#outlook;
    // Points that stood level clear a suspicion that was never more than that.
    if (this.#unit.driftSuspect !== null && !this.#unit.drifts && --this.#unit.levelWanted <= 0) {
      this.#unit.driftSuspect = null;
    }
    this.#unit.learnTau(mixture.votes.tauWeight, this.#step, 1);
    const freedom = this.#outlook.question.blocks - 4;
    if (freedom >= 4 && mixture.dispersion < 2) {
      this.#gauge.sawNoise(mixture.dispersion * this.#outlook.question.variance, Math.min(10, freedom));
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

  #reading(now: number, n: number, variance: number): Reading {
    const s = this.#series;
    const q = this.#gauge.resolution;
    // However sure the models are: what moved a moment ago may move on by a good part of that.
    const drift = (unknownDrift * this.#outlook.question.horizon) / 60;
    const residual = Math.hypot(
      this.#outlook.mixture.votes.lag,
      this.#outlook.mixture.votes.lagSd,
      Math.max(0.4 * this.#ready.moved, drift),
    );
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
      const { mixture } = this.#outlook;
      let tau = 0;
      let weight = 0;
      for (let j = 0; j < modeCount; j++) {
        tau += (mixture.votes.tauWeight[j] ?? 0) * (modeTau[j] ?? 0);
        weight += mixture.votes.tauWeight[j] ?? 0;
      }
      const reach = Math.abs(mixture.votes.lag) + 2.5 * mixture.votes.lagSd;
      if (weight > 0.3) expected = Math.max(0, (tau / weight) * Math.log(reach / this.#outlook.question.allowance));
    }
    const held = this.#unit.caution_s - (Number.isNaN(this.#heldSince) ? 0 : now - this.#heldSince);
    return {
      kind: "settling",
      expected_s: expected === null ? null : expected + Math.max(0, held),
      confidence: Math.max(0, Math.min(1, confidence)),
    };
  }
}
