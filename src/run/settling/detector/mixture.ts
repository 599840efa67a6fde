import { lineSums, ringSums } from "./block-sums.ts";
import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";
import { normalTail } from "./normal.ts";

/** Most block means a decision looks at. */
export const maxBlocks = 64;

const basisCount = modeCount + slowCount;
const bases = new Float64Array(basisCount).map((_, j) => (j < modeCount ? modeTau[j] : slowTau[j - modeCount]) ?? 1);

/** What the models are told before they see the data. All amplitudes are those at the last reading, % of span. */
export interface Prior {
  /** Log weight of each main time constant. */
  readonly mainLogWeight: Float64Array;
  /** Standard deviation of the amplitude of each main mode. */
  readonly mainSd: Float64Array;
  /** Standard deviation of the amplitude of each slow mode. */
  readonly slowSd: Float64Array;
  readonly slowLogWeight: Float64Array;
  /** Log weights of a second main mode, of a straight line, of an oscillation. */
  readonly pairLogWeight: number;
  readonly lineLogWeight: number;
  lineSd: number;
  ringLogWeight: number;
  ringPeriod: number;
  ringEnvelope: number;
  ringSd: number;
}

export interface Question {
  /** Count of blocks in `time`, `level`, `weight`; times are relative to the last reading, so not above 0. */
  blocks: number;
  /** Blocks from here on make up the mean that would be recorded. */
  readingFrom: number;
  variance: number;
  /** Seconds from the last reading to the moment the reading stands for. */
  horizon: number;
  /** Lag that must not be exceeded. */
  allowance: number;
  /** Standard deviation of the slow movement still to come that was learned before. */
  slowSd: number;
  /** Lag of the reading that comes from the slow movement already taken off the levels. */
  slowLag: number;
}

/**
 * A mixture of models of the last part of a response. Every model is a constant plus one or two decaying modes with normal
 * priors on their amplitudes; its weight is prior times marginal likelihood, so a mode that cannot be excluded yet keeps its
 * vote. The answer is the distribution of the lag: recorded mean minus the value at the horizon.
 */
export class Mixture {
  readonly time = new Float64Array(maxBlocks);
  readonly level = new Float64Array(maxBlocks);
  readonly weight = new Float64Array(maxBlocks);
  readonly #basis = new Float64Array(basisCount * maxBlocks);
  readonly #self = new Float64Array(basisCount);
  readonly #with = new Float64Array(basisCount);
  readonly #lagOf = new Float64Array(basisCount);
  readonly #log = new Float64Array(1024);
  readonly #mean = new Float64Array(1024);
  readonly #sd = new Float64Array(1024);
  readonly #main = new Int16Array(1024);
  readonly #second = new Int16Array(1024);
  #models = 0;
  #blocks = 0;
  #bestResidual = 0;
  #bestLog = 0;
  /** Probability that the lag exceeds the allowance. */
  exceed = 1;
  /** Mean and standard deviation of the lag. */
  lag = 0;
  lagSd = 0;
  /** Residual variance of the best model, relative to the variance it was given. */
  dispersion = 0;
  /** How much each main time constant speaks in the answer. */
  readonly tauWeight = new Float64Array(modeCount);

  /** Answers the question; scales the variance up once when no model explains the data with the variance given. */
  ask(question: Question, prior: Prior): void {
    this.#prepare(question);
    this.#run(question, prior, question.variance);
    const freedom = Math.max(2, this.#blocks - 3);
    this.dispersion = this.#bestResidual / (freedom * question.variance);
    if (this.dispersion > 1 + 1.2 * Math.sqrt(2 / freedom) + 0.1)
      this.#run(question, prior, question.variance * this.dispersion);
    this.#answer(question);
  }

  #prepare(question: Question): void {
    const n = question.blocks;
    this.#blocks = n;
    let total = 0;
    let sum = 0;
    for (let i = 0; i < n; i++) {
      const w = this.weight[i] ?? 0;
      total += w;
      sum += w * (this.level[i] ?? 0);
    }
    const mean = sum / total;
    let yy = 0;
    for (let i = 0; i < n; i++) {
      const y = (this.level[i] ?? 0) - mean;
      this.level[i] = y;
      yy += (this.weight[i] ?? 0) * y * y;
    }
    this.#yy = yy;
    let readingWeight = 0;
    for (let i = question.readingFrom; i < n; i++) readingWeight += this.weight[i] ?? 0;
    for (let j = 0; j < basisCount; j++) {
      const rate = -1 / (bases[j] ?? 1);
      const at = j * maxBlocks;
      let s = 0;
      let reading = 0;
      for (let i = 0; i < n; i++) {
        const e = Math.exp(Math.min(60, (this.time[i] ?? 0) * rate));
        this.#basis[at + i] = e;
        const we = (this.weight[i] ?? 0) * e;
        s += we;
        if (i >= question.readingFrom) reading += we;
      }
      // Movement dies out in the end; creep may go on, and what it does after the horizon is part of the value.
      this.#lagOf[j] = reading / readingWeight - (j < modeCount + creepFrom ? 0 : Math.exp(question.horizon * rate));
      const centre = s / total;
      let ee = 0;
      let ey = 0;
      for (let i = 0; i < n; i++) {
        const e = (this.#basis[at + i] ?? 0) - centre;
        this.#basis[at + i] = e;
        const we = (this.weight[i] ?? 0) * e;
        ee += we * e;
        ey += we * (this.level[i] ?? 0);
      }
      this.#self[j] = ee;
      this.#with[j] = ey;
    }
  }

  #yy = 0;

  #cross(j: number, k: number): number {
    const a = j * maxBlocks;
    const b = k * maxBlocks;
    let sum = 0;
    for (let i = 0; i < this.#blocks; i++)
      sum += (this.weight[i] ?? 0) * (this.#basis[a + i] ?? 0) * (this.#basis[b + i] ?? 0);
    return sum;
  }

  #add(log: number, mean: number, variance: number, main: number, second: number, residual: number): void {
    const m = this.#models++;
    this.#log[m] = log;
    this.#mean[m] = mean;
    this.#sd[m] = variance;
    this.#main[m] = main;
    this.#second[m] = second;
    if (log > this.#bestLog) {
      this.#bestLog = log;
      this.#bestResidual = residual;
    }
  }

  /** One mode with amplitude of standard deviation `sd`. */
  #single(log: number, ee: number, ey: number, sd: number, lagOf: number, v: number, main: number): void {
    const precision = ee / v + 1 / (sd * sd);
    const b = ey / v;
    const a = b / precision;
    const residual = this.#yy - 2 * a * ey + a * a * ee;
    this.#add(
      log + 0.5 * b * a - 0.5 * Math.log(sd * sd * precision),
      a * lagOf,
      (lagOf * lagOf) / precision,
      main,
      -1,
      residual,
    );
  }

  #double(log: number, j: number, k: number, sdJ: number, sdK: number, v: number, main: number): void {
    const cross = this.#cross(j, k);
    const ejj = this.#self[j] ?? 0;
    const ekk = this.#self[k] ?? 0;
    const yj = this.#with[j] ?? 0;
    const yk = this.#with[k] ?? 0;
    this.#pair(
      log,
      ejj,
      ekk,
      cross,
      yj,
      yk,
      sdJ,
      sdK,
      this.#lagOf[j] ?? 0,
      this.#lagOf[k] ?? 0,
      v,
      main,
      k < modeCount ? k : -1,
    );
  }

  #pair(
    log: number,
    ejj: number,
    ekk: number,
    ejk: number,
    yj: number,
    yk: number,
    sdJ: number,
    sdK: number,
    lagJ: number,
    lagK: number,
    v: number,
    main: number,
    second: number,
  ): void {
    // Scaled so that both priors are unit normal: keeps the 2x2 system well conditioned.
    const a11 = (ejj * sdJ * sdJ) / v + 1;
    const a22 = (ekk * sdK * sdK) / v + 1;
    const a12 = (ejk * sdJ * sdK) / v;
    const det = a11 * a22 - a12 * a12;
    if (!(det > 0)) return;
    const b1 = (yj * sdJ) / v;
    const b2 = (yk * sdK) / v;
    const x1 = (a22 * b1 - a12 * b2) / det;
    const x2 = (a11 * b2 - a12 * b1) / det;
    const l1 = lagJ * sdJ;
    const l2 = lagK * sdK;
    const variance = (a22 * l1 * l1 - 2 * a12 * l1 * l2 + a11 * l2 * l2) / det;
    const u1 = x1 * sdJ;
    const u2 = x2 * sdK;
    const residual = this.#yy - 2 * (u1 * yj + u2 * yk) + u1 * u1 * ejj + u2 * u2 * ekk + 2 * u1 * u2 * ejk;
    this.#add(
      log + 0.5 * (b1 * x1 + b2 * x2) - 0.5 * Math.log(det),
      x1 * l1 + x2 * l2,
      Math.max(0, variance),
      main,
      second,
      residual,
    );
  }

  #run(question: Question, prior: Prior, v: number): void {
    this.#models = 0;
    this.#bestLog = Number.NEGATIVE_INFINITY;
    this.#add(Math.log(0.05), 0, 0, -1, -1, this.#yy);
    for (let j = 0; j < modeCount; j++) {
      const w = prior.mainLogWeight[j] ?? 0;
      if (w < -9) continue;
      const sd = prior.mainSd[j] ?? 0;
      this.#single(w, this.#self[j] ?? 0, this.#with[j] ?? 0, sd, this.#lagOf[j] ?? 0, v, j);
      for (let k = j + 1; k < modeCount; k += 2) {
        this.#double(w + prior.pairLogWeight + (prior.mainLogWeight[k] ?? 0), j, k, sd, prior.mainSd[k] ?? 0, v, j);
      }
      for (let s = 0; s < slowCount; s++) {
        const tau = slowTau[s] ?? 1;
        if (tau < 1.5 * (modeTau[j] ?? 1)) continue;
        this.#double(w + (prior.slowLogWeight[s] ?? 0), j, modeCount + s, sd, prior.slowSd[s] ?? 0, v, j);
      }
    }
    for (let s = 0; s < slowCount; s++) {
      const k = modeCount + s;
      const log = (prior.slowLogWeight[s] ?? 0) - 1;
      this.#single(log, this.#self[k] ?? 0, this.#with[k] ?? 0, prior.slowSd[s] ?? 0, this.#lagOf[k] ?? 0, v, -1);
    }
    if (prior.lineLogWeight > -12) this.#line(question, prior, v);
    if (prior.ringLogWeight > -12) this.#rings(question, prior, v);
  }

  #line(question: Question, prior: Prior, v: number): void {
    const { ee, ey, reading } = lineSums(this, this.#blocks, question.readingFrom);
    this.#single(prior.lineLogWeight, ee, ey, prior.lineSd / 60, reading - question.horizon, v, -1);
  }

  #rings(question: Question, prior: Prior, v: number): void {
    const known = prior.ringPeriod > 0;
    const periods = known ? 3 : 6;
    for (let p = 0; p < periods; p++) {
      const period = known ? prior.ringPeriod * (0.85 + 0.15 * p) : 0.6 * 1.75 ** p;
      for (let e = 0; e < 3; e++) {
        const envelope = known ? prior.ringEnvelope * (0.65 + 0.35 * e) : period * (0.25 + 0.3 * e);
        this.#ring(prior.ringLogWeight - Math.log(periods * 3), period, envelope, prior.ringSd, question, v);
      }
    }
  }

  #ring(log: number, period: number, envelope: number, sd: number, question: Question, v: number): void {
    const r = ringSums(this, this.#blocks, question.readingFrom, period, envelope);
    this.#pair(log, r.cc, r.ss, r.cs, r.yc, r.ys, sd, sd, r.readingC, r.readingS, v, -1, -1);
  }

  #answer(question: Question): void {
    let total = 0;
    let mean = 0;
    let square = 0;
    let exceed = 0;
    // When no model explains the data well, none foresees the rest well: allow less.
    const allowance = question.allowance / Math.sqrt(Math.max(1, this.dispersion));
    this.tauWeight.fill(0);
    for (let m = 0; m < this.#models; m++) {
      const w = Math.exp((this.#log[m] ?? 0) - this.#bestLog);
      if (w < 1e-9) continue;
      total += w;
      const centre = (this.#mean[m] ?? 0) + question.slowLag;
      const variance = (this.#sd[m] ?? 0) + question.slowSd ** 2;
      mean += w * centre;
      square += w * (centre * centre + variance);
      const sd = Math.sqrt(variance);
      const a = allowance;
      exceed +=
        w * (sd > 0 ? normalTail((a - centre) / sd) + normalTail((a + centre) / sd) : Math.abs(centre) > a ? 1 : 0);
      const main = this.#main[m] ?? -1;
      const second = this.#second[m] ?? -1;
      if (main >= 0) this.tauWeight[main] = (this.tauWeight[main] ?? 0) + w;
      if (second >= 0) this.tauWeight[second] = (this.tauWeight[second] ?? 0) + w;
    }
    this.exceed = exceed / total;
    this.lag = mean / total;
    this.lagSd = Math.sqrt(Math.max(0, square / total - this.lag ** 2));
    for (let j = 0; j < modeCount; j++) this.tauWeight[j] = (this.tauWeight[j] ?? 0) / total;
  }
}
