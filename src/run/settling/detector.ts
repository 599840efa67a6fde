import { Conditioner } from "./detector/conditioner.ts";
import { GaugeMemory } from "./detector/gauge-memory.ts";
import { Mixture, maxBlocks, type Question } from "./detector/mixture.ts";
import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./detector/modes.ts";
import { Series } from "./detector/series.ts";
import { analyseSoak, type SoakFindings, slope } from "./detector/soak.ts";
import { UnitMemory } from "./detector/unit-memory.ts";
import { findDrift, findHunting } from "./detector/unrest.ts";
import type { PointStart, SettlingRule, SettlingSample, SettlingVerdict } from "./settling-rule.ts";

export interface DetectorSettings {
  /** Accuracy asked of a recorded reading, % of span. */
  readonly limit?: number;
  /** Display digit, % of span; null: learn it. */
  readonly resolution?: number | null;
  /** Update period of the gauge, s; null: learn it. */
  readonly updatePeriod_s?: number | null;
  /** Share of the limit that movement still to come may use. */
  readonly gamma?: number;
  /** Probability of exceeding that share at which a reading is not taken yet. */
  readonly alpha?: number;
  readonly timeout_s?: number;
  /** No reading is taken sooner after the command than this. */
  readonly minimumDwell_s?: number;
  /** Hysteresis is judged on these readings: lag counts twice there, so less of it is allowed. */
  readonly forHysteresis?: boolean;
  /** Shortest and longest hold of an exercise stroke, s. */
  readonly soakShortest_s?: number;
  readonly soakLongest_s?: number;
}

export const createDetector = (settings: DetectorSettings = {}): SettlingRule => new Detector(settings);

class Detector implements SettlingRule {
  readonly #limit: number;
  readonly #gamma: number;
  readonly #alpha: number;
  readonly #timeout: number;
  readonly #dwell: number;
  readonly #soakShortest: number;
  readonly #soakLongest: number;
  readonly #gauge: GaugeMemory;
  readonly #unit = new UnitMemory();
  readonly #stream: Conditioner;
  readonly #series = new Series();
  readonly #mixture = new Mixture();
  readonly #mainLogWeight = new Float64Array(modeCount);
  readonly #mainSd = new Float64Array(modeCount);
  readonly #slowSd = new Float64Array(slowCount);
  readonly #slowLogWeight = new Float64Array(slowCount);
  readonly #question: Question = {
    blocks: 0,
    readingFrom: 0,
    variance: 0,
    horizon: 0,
    allowance: 0,
    slowSd: 0,
    slowLag: 0,
  };
  readonly #accept = (time: number, value: number): void => {
    this.#series.push(time, value);
    this.#fresh = true;
  };
  #fresh = false;
  #start: PointStart = { at_s: 0, from: 0, to: 0, role: "point" };
  #begun = false;
  #final: SettlingVerdict | null = null;
  #lastTime = 0;
  #first = Number.NaN;
  #passed60 = Number.NaN;
  #nextLook = 0;
  #nextUnrest = 0;
  #soakDone = true;

  constructor(settings: DetectorSettings) {
    const positive = (value: number | undefined, standard: number): number =>
      value !== undefined && Number.isFinite(value) && value > 0 ? value : standard;
    this.#limit = positive(settings.limit, 0.05);
    this.#gamma = positive(settings.gamma, settings.forHysteresis === true ? 0.25 : 0.5);
    this.#alpha = positive(settings.alpha, 0.003);
    this.#timeout = positive(settings.timeout_s, 180);
    this.#dwell = positive(settings.minimumDwell_s, 0);
    this.#soakShortest = positive(settings.soakShortest_s, 45);
    this.#soakLongest = positive(settings.soakLongest_s, 90);
    this.#gauge = new GaugeMemory(settings.resolution ?? null, settings.updatePeriod_s ?? null);
    this.#stream = new Conditioner(this.#gauge);
  }

  begin(start: PointStart): void {
    if (this.#begun) this.#finishPoint();
    this.#start = start;
    this.#begun = true;
    this.#final = null;
    this.#series.clear();
    this.#stream.begin(start.at_s);
    this.#lastTime = start.at_s;
    this.#first = Number.NaN;
    this.#passed60 = Number.NaN;
    this.#nextLook = 0;
    this.#nextUnrest = start.at_s + 4;
    this.#soakDone = start.role !== "exercise";
    this.#unit.beginStep(start.at_s, start.to - start.from);
  }

  take(sample: SettlingSample): SettlingVerdict {
    if (!this.#begun) this.begin({ at_s: sample.time_s, from: 0, to: 0, role: "point" });
    if (this.#final !== null) return this.#final;
    this.#fresh = false;
    this.#stream.take(sample.time_s, sample.value ?? Number.NaN, this.#accept);
    if (this.#stream.backward > 2000)
      return this.#finish({ kind: "no-new-data", for_s: this.#lastTime - this.#stream.freshAt });
    if (sample.time_s > this.#lastTime) this.#lastTime = sample.time_s;
    const now = this.#lastTime;
    const elapsed = now - this.#start.at_s;
    const silent = now - this.#stream.freshAt;
    if (silent > this.#patience()) return this.#finish({ kind: "no-new-data", for_s: silent });
    const verdict = this.#start.role === "exercise" ? this.#watchSoak(now, elapsed) : this.#watchPoint(now, elapsed);
    if (verdict.kind === "moving" || verdict.kind === "settling") {
      if (elapsed >= this.#timeout) return this.#finish(this.#giveUp(now, elapsed));
      return verdict;
    }
    return this.#finish(verdict);
  }

  learned(): readonly string[] {
    return [];
  }

  #patience(): number {
    const period = this.#gauge.updatePeriod;
    return Math.max(20, Number.isFinite(period) ? 12 * period : 0);
  }

  #finish(verdict: SettlingVerdict): SettlingVerdict {
    this.#final = verdict;
    return verdict;
  }

  #finishPoint(): void {
    if (!this.#soakDone) this.#learnSoak(this.#analyse());
    this.#unit.endStep();
  }

  // ---- exercise -------------------------------------------------------------------------------------------------

  #watchSoak(now: number, elapsed: number): SettlingVerdict {
    const waiting: SettlingVerdict = { kind: "settling", expected_s: null, confidence: 0 };
    if (elapsed < this.#soakShortest || now < this.#nextLook) return waiting;
    this.#nextLook = now + 5;
    const last = elapsed >= this.#soakLongest;
    if (!last && !this.#calmSince(now - 25)) return waiting;
    const found = this.#analyse();
    if (!last && (found === null || Math.abs(found.drift) + 2 * found.driftSd > 0.05)) return waiting;
    this.#learnSoak(found);
    const n = Math.min(this.#series.length, this.#readingsWanted(this.#gauge.variance));
    const value = this.#series.trailingMean(Math.max(1, n));
    const u = Math.sqrt(this.#gauge.variance / Math.max(1, n) + this.#gauge.wander);
    return {
      kind: "settled",
      value,
      u,
      u_residual: 0,
      n_effective: n,
      from_s: this.#series.at(Math.max(0, this.#series.length - n)),
      to_s: now,
    };
  }

  /** Whether means over 3 s have kept within half the limit (and noise) since a time. */
  #calmSince(since: number): boolean {
    const s = this.#series;
    const first = s.since(since);
    const v = this.#localVariance(Math.min(60, s.length - first), s.length);
    let lo = Number.POSITIVE_INFINITY;
    let hi = Number.NEGATIVE_INFINITY;
    let least = Number.POSITIVE_INFINITY;
    for (let i = first; i < s.length; ) {
      const t0 = s.at(i);
      let sum = 0;
      let n = 0;
      while (i < s.length && s.at(i) < t0 + 3) {
        sum += s.valueAt(i);
        n++;
        i++;
      }
      if (i >= s.length && n * 2 < least) break;
      least = Math.min(least, n);
      lo = Math.min(lo, sum / n);
      hi = Math.max(hi, sum / n);
    }
    return hi - lo < 0.4 * this.#limit + 0.5 * this.#gauge.resolution + 3 * Math.sqrt(v / Math.max(1, least));
  }

  #analyse(): SoakFindings | null {
    const s = this.#series;
    if (s.length < 20) return null;
    const end = s.at(s.length - 1);
    const late = s.length - s.since(end - 20);
    const variance = Math.max(1e-8, this.#localVariance(Math.min(200, late), s.length));
    const final = s.trailingMean(Math.max(5, late >> 2));
    return analyseSoak(s, this.#crossing(final), this.#start.to - this.#start.from, variance, final, this.#gauge.resolution);
  }

  #learnSoak(found: SoakFindings | null): void {
    this.#soakDone = true;
    if (found === null) return;
    const unit = this.#unit;
    const step = this.#start.to - this.#start.from;
    if ((globalThis as any).STAT) console.log("SOAK", (globalThis as any).KIND, this.#lastTime.toFixed(0), "sig", Math.sqrt(found.variance).toFixed(4), "drift", found.drift.toFixed(4), found.driftSd.toFixed(4), "unrest", found.unrest.toFixed(3), found.unrestNoise.toFixed(3), "scatter", found.scatter.toFixed(4), found.swing.toFixed(2), found.kurtosis.toFixed(2), "ring", found.ringing);
    this.#gauge.sawNoise(found.variance, 60);
    unit.placeStep(found.origin);
    if (Math.abs(step) > 20) unit.learnSlow(found.share, found.shareSd);
    unit.learnTau(found.tauWeight, step, 0.5);
    if (found.ringing !== null) unit.ringing = found.ringing;
    const swings =
      found.scatter > 0.38 * this.#limit + 0.3 * this.#gauge.resolution && (found.swing > 1.6 || found.kurtosis < 2.15);
    if (swings || found.unrest > 0.9 * this.#limit + found.unrestNoise) {
      unit.unsteady = { amplitude: Math.max(found.scatter, found.unrest / 2) };
    }
    if (Math.abs(found.drift) + 2 * found.driftSd > 0.05) unit.driftSuspect = found.drift;
    unit.drifts = Math.abs(found.drift) - 3 * found.driftSd > 0.04;
  }

  // ---- points ---------------------------------------------------------------------------------------------------

  #watchPoint(now: number, elapsed: number): SettlingVerdict {
    const s = this.#series;
    const moving: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
    if (!this.#fresh || s.length < 3 || now < this.#nextLook) return s.length > 0 ? this.#waiting : moving;
    this.#waiting = moving;
    if (Number.isNaN(this.#first)) this.#first = s.valueAt(0);
    const step = this.#start.to - this.#start.from;
    const mean3 = s.trailingMean(3);
    const done = mean3 - this.#first;
    if (Math.abs(step) > 0.5) {
      const share = done / step;
      if (share < 0.6 && elapsed < (share < 0.1 ? 30 : 8)) return moving;
    }
    this.#waiting = { kind: "settling", expected_s: null, confidence: 0 };
    if (now >= this.#nextUnrest) {
      this.#nextUnrest = now + 2;
      const unrest = this.#unrest(now, elapsed);
      if (unrest !== null) return unrest;
    }
    if (this.#unit.unsteady !== null || elapsed < this.#dwell) return this.#waiting;
    let near = s.length;
    const known = this.#gauge.noiseFreedom >= 8;
    const close = known
      ? 2 * this.#limit + 2 * this.#gauge.resolution + 5 * Math.sqrt(this.#gauge.variance)
      : 12 * this.#limit + 10 * this.#gauge.resolution;
    while (near > 0 && s.length - near < 24 && Math.abs(s.valueAt(near - 1) - mean3) <= close) near--;
    const local = s.length - near < (known ? 10 : 6) ? 0 : this.#localVariance(s.length - near, s.length);
    const variance = this.#variance(local);
    const n = this.#readingsWanted(variance);
    if (s.length < n) return this.#waiting;
    if (!this.#guard(now, n, variance)) return this.#waiting;
    if (this.#unit.driftSuspect !== null && !this.#standsStill(now, variance)) return this.#waiting;
    this.#nextLook = now + 0.09;
    return this.#decide(now, elapsed, n, variance, step) ?? this.#waiting;
  }

  #waiting: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };

  #variance(local: number): number {
    const known = this.#gauge.variance;
    if (this.#gauge.noiseFreedom < 8) return Math.max(known, local);
    return local > 3 * known ? local : known;
  }

  #readingsWanted(variance: number): number {
    const period = Number.isFinite(this.#gauge.updatePeriod) ? Math.max(0.04, this.#gauge.updatePeriod) : 0.5;
    const byNoise = Math.ceil(variance / (this.#limit / 6) ** 2);
    return Math.max(3, Math.min(byNoise, Math.ceil(20 / period), 400));
  }

  /** Trimmed mean square of second differences / 6 over `n` readings that end before `end`. */
  #localVariance(n: number, end: number): number {
    const s = this.#series;
    const first = Math.max(0, end - n);
    const count = end - first - 2;
    const floor = this.#gauge.resolution ** 2 / 12;
    if (count < 2) return floor;
    let sum = 0;
    let most = 0;
    for (let i = first + 1; i < end - 1; i++) {
      const d = s.valueAt(i - 1) - 2 * s.valueAt(i) + s.valueAt(i + 1);
      sum += d * d;
      if (d * d > most) most = d * d;
    }
    return Math.max(floor, (count > 4 ? (1.15 * (sum - most)) / (count - 1) : sum / count) / 6);
  }

  /** For a unit that may drift: the slope itself must be shown to be small, over the longest stretch that is level. */
  #standsStill(now: number, variance: number): boolean {
    const s = this.#series;
    for (const window of this.#unit.drifts ? [20, 40, 80] : [8, 12, 20, 40, 80]) {
      if (s.length < 6 || now - s.at(0) < window) return false;
      const [rate, se] = slope(s, now - window, variance, this.#slowAt);
      if (!(se < 0.016 && Math.abs(rate) + 2 * se < 0.05)) continue;
      const [late, lateSe] = slope(s, now - window / 2, variance, this.#slowAt);
      if (Math.abs(late) < 0.05 + lateSe) return true;
    }
    return false;
  }

  readonly #slowAt = (time: number): number => this.#unit.slowAt(time);

  /** Short means over the recent past must lie close together. */
  #guard(now: number, n: number, variance: number): boolean {
    const s = this.#series;
    const ringing = this.#unit.ringing;
    const swing = ringing === null ? 0 : Math.min(0.6 * ringing.period, 1.5 * ringing.envelope);
    const readingSpan = now - s.at(s.length - n);
    const window = Math.max(readingSpan, this.#unit.soaked ? 0.8 : 1.2, swing);
    const first = Math.min(s.length - n, s.since(now - window));
    const m = Math.max(1, Math.min(Math.floor(n / 3), 20));
    let lo = Number.POSITIVE_INFINITY;
    let hi = Number.NEGATIVE_INFINITY;
    let sum = 0;
    let k = 0;
    for (let i = s.length - 1; i >= first; i--) {
      sum += s.valueAt(i);
      k++;
      if (k === m) {
        lo = Math.min(lo, sum / m);
        hi = Math.max(hi, sum / m);
        sum = 0;
        k = 0;
      }
    }
    const se = Math.sqrt(variance / m);
    return hi - lo < 0.4 * this.#limit + this.#gauge.resolution + 3.2 * se;
  }

  /** When the response passed 60 % of the way from its first reading to a level. */
  #crossing(level: number): number {
    const s = this.#series;
    const from = s.valueAt(0);
    const way = level - from;
    if (Math.abs(way) < 0.3) return this.#start.at_s;
    for (let i = 0; i < s.length; i++) if ((s.valueAt(i) - from) / way >= 0.6) return s.at(i);
    return s.at(s.length - 1);
  }

  #decide(now: number, elapsed: number, n: number, variance: number, step: number): SettlingVerdict | null {
    const s = this.#series;
    const q = this.#gauge.resolution;
    const level = s.trailingMean(n);
    if (Number.isNaN(this.#passed60) || elapsed < 30) {
      this.#passed60 = this.#crossing(level);
      this.#unit.placeStep(this.#passed60);
    }
    const size = Math.max(0.3, Math.min(Math.abs(step) || 0.3, Math.abs(level - this.#first) * 1.2 + 0.3));
    // Approach: since when the reading is within 5 % of the step (or 12 limits) of where it is now.
    const wide = Math.max(0.05 * size, 12 * this.#limit, 10 * q, 12 * Math.sqrt(variance));
    let i = s.length - 1;
    while (i > 0 && Math.abs(s.valueAt(i - 1) - level) <= wide) i--;
    const since = now - s.at(i);
    const sinceStep = now - this.#passed60;
    for (let j = 0; j < modeCount; j++) {
      this.#mainSd[j] = Math.max(1e-5, 1.5 * wide * Math.exp(-since / (modeTau[j] ?? 1)));
    }
    const unit = this.#unit;
    for (let k = 0; k < slowCount; k++) {
      this.#slowSd[k] = Math.max(1e-5, size * (unit.slowShareSd[k] ?? 0) * Math.exp(-sinceStep / (slowTau[k] ?? 1)));
      this.#slowLogWeight[k] = k < creepFrom ? Math.log(0.4 / creepFrom) : Math.log(0.3 / (slowCount - creepFrom));
    }
    unit.tauPrior(step, 0.25, this.#mainLogWeight);
    const question = this.#question;
    question.variance = variance;
    question.horizon = Math.max(0, 60 - elapsed);
    question.allowance = this.#gamma * this.#limit + q / 4;
    question.slowSd = 0;
    const reading = s.length - n;
    let slow = 0;
    for (let r = reading; r < s.length; r++) slow += unit.slowAt(s.at(r)) / n;
    question.slowLag = slow - unit.slowAt(now + question.horizon);
    const mixture = this.#mixture;
    let band = wide;
    for (let attempt = 0; attempt < 5; attempt++) {
      let first = s.length - 1;
      while (first > 0 && Math.abs(s.valueAt(first - 1) - level) <= band) first--;
      if (s.length - first < Math.max(n, 5)) first = Math.max(0, s.length - Math.max(n, 5));
      this.#blocks(first, n, now);
      mixture.ask(question, {
        mainLogWeight: this.#mainLogWeight,
        mainSd: this.#mainSd,
        slowSd: this.#slowSd,
        slowLogWeight: this.#slowLogWeight,
        pairLogWeight: Math.log(1),
        lineLogWeight: Math.log(0.05),
        lineSd: unit.soaked ? 0.01 : 0.05,
        ringLogWeight: unit.ringing !== null ? Math.log(0.4) : unit.soaked ? -20 : Math.log(0.1),
        ringPeriod: unit.ringing?.period ?? 0,
        ringEnvelope: unit.ringing?.envelope ?? 0,
        ringSd: 1.5 * wide * Math.exp(-since / (unit.ringing?.envelope ?? 2.5)),
      });
      if (mixture.dispersion < 1.6 + 3 / Math.sqrt(question.blocks) || band < 2.2 * this.#limit) break;
      band *= 0.4;
    }
    if ((globalThis as any).DBG)
      console.log(
        now - this.#start.at_s,
        "n",
        n,
        "sig",
        Math.sqrt(variance),
        "level",
        level,
        "disp",
        mixture.dispersion,
        "band",
        band,
        "blocks",
        question.blocks,
        "exceed",
        mixture.exceed,
        "lag",
        mixture.lag,
        mixture.lagSd,
        "slowlag",
        question.slowLag,
        "since",
        since,
        "60:",
        sinceStep,
      );
    if (!(mixture.exceed < this.#alpha)) return null;
    return this.#settled(now, n, variance);
  }

  #blocks(first: number, n: number, now: number): void {
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
        v += s.valueAt(i) - this.#unit.slowAt(s.at(i));
      }
      mixture.time[b] = t / take - now;
      mixture.level[b] = v / take;
      mixture.weight[b] = take;
      b++;
    }
    this.#question.blocks = b;
    this.#question.readingFrom = Math.max(0, b - Math.max(1, Math.round(n / per)));
  }

  #settled(now: number, n: number, variance: number): SettlingVerdict {
    const s = this.#series;
    const mixture = this.#mixture;
    const q = this.#gauge.resolution;
    const step = this.#start.to - this.#start.from;
    this.#unit.learnTau(mixture.tauWeight, step, 1);
    this.#unit.countPoint();
    const freedom = this.#question.blocks - 4;
    if (freedom >= 4 && mixture.dispersion < 2) {
      this.#gauge.sawNoise(mixture.dispersion * variance, Math.min(10, freedom));
    }
    const residual = Math.hypot(mixture.lag, mixture.lagSd);
    const noise = variance / n + (this.#gauge.quiet ? q ** 2 / 12 : 0) + this.#gauge.wander;
    return {
      kind: "settled",
      value: s.trailingMean(n),
      u: Math.sqrt(noise + residual ** 2),
      u_residual: residual,
      n_effective: Math.max(1, variance / noise),
      from_s: s.at(s.length - n),
      to_s: now,
    };
  }

  // ---- what never settles ---------------------------------------------------------------------------------------

  #unrest(now: number, elapsed: number): SettlingVerdict | null {
    const known = this.#unit.unsteady !== null;
    const noise = Math.sqrt(this.#gauge.variance);
    const from = Math.max(this.#start.at_s + 3, now - 90, Number.isNaN(this.#passed60) ? 0 : this.#passed60);
    const hunting = elapsed > 6 ? findHunting(this.#series, from, this.#limit, noise, known ? 4 : 7) : null;
    if (hunting !== null) {
      return { kind: "hunting", centre: hunting.centre, amplitude: hunting.amplitude, period_s: hunting.period };
    }
    const wait = this.#unit.driftSuspect !== null ? 25 : Math.abs(this.#start.to - this.#start.from) > 30 ? 95 : 50;
    if (elapsed > wait && !known) {
      const rate = findDrift(this.#series, 35, this.#gauge.variance, 0.055);
      if (rate !== null) return { kind: "drifting", rate_per_min: rate };
    }
    return null;
  }

  #giveUp(now: number, elapsed: number): SettlingVerdict {
    if (this.#series.length === 0) return { kind: "no-new-data", for_s: elapsed };
    const rate = this.#unit.unsteady === null ? findDrift(this.#series, 60, this.#gauge.variance, 0.055) : null;
    if (rate !== null) return { kind: "drifting", rate_per_min: rate };
    const [, se] = slope(this.#series, now - 60, this.#gauge.variance);
    return Number.isFinite(se)
      ? { kind: "not-settled", waited_s: elapsed }
      : { kind: "not-settled", waited_s: elapsed };
  }
}
