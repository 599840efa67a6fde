import { lineSums, ringSums } from "./block-sums.ts";
import { ModelVotes } from "./model-votes.ts";
import { creepFrom, modeCount, modeTau, slowCount, slowTau } from "./modes.ts";

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
  /** What the models say together. */
  readonly votes = new ModelVotes();
  #blocks = 0;
  /** Residual variance of the best model, relative to the variance it was given. */
  dispersion = 0;

  /** Answers the question; scales the variance up once when no model explains the data with the variance given. */
  ask(question: Question, prior: Prior): void {
    this.#prepare(question);
    this.#run(question, prior, question.variance);
    const freedom = Math.max(2, this.#blocks - 3);
    this.dispersion = this.votes.bestResidual / (freedom * question.variance);
    if (this.dispersion > 1 + 1.2 * Math.sqrt(2 / freedom) + 0.1)
      this.#run(question, prior, question.variance * this.dispersion);
    // When no model explains the data well, none foresees the rest well: allow less.
    const allowance = question.allowance / Math.sqrt(Math.max(1, this.dispersion));
    this.votes.count(allowance, question.slowLag, question.slowSd);
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

  #double(log: number, j: number, k: number, sdJ: number, sdK: number, v: number, main: number): void {
    const cross = this.#cross(j, k);
    const ejj = this.#self[j] ?? 0;
    const ekk = this.#self[k] ?? 0;
    const yj = this.#with[j] ?? 0;
    const yk = this.#with[k] ?? 0;
    this.votes.pair(
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

  #run(question: Question, prior: Prior, v: number): void {
    this.votes.begin(this.#yy);
    for (let j = 0; j < modeCount; j++) {
      const w = prior.mainLogWeight[j] ?? 0;
      if (w < -9) continue;
      const sd = prior.mainSd[j] ?? 0;
      this.votes.single(w, this.#self[j] ?? 0, this.#with[j] ?? 0, sd, this.#lagOf[j] ?? 0, v, j);
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
      this.votes.single(log, this.#self[k] ?? 0, this.#with[k] ?? 0, prior.slowSd[s] ?? 0, this.#lagOf[k] ?? 0, v, -1);
    }
    if (prior.lineLogWeight > -12) this.#line(question, prior, v);
    if (prior.ringLogWeight > -12) this.#rings(question, prior, v);
  }

  #line(question: Question, prior: Prior, v: number): void {
    const { ee, ey, reading } = lineSums(this, this.#blocks, question.readingFrom);
    this.votes.single(prior.lineLogWeight, ee, ey, prior.lineSd / 60, reading - question.horizon, v, -1);
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
    this.votes.pair(log, r.cc, r.ss, r.cs, r.yc, r.ys, sd, sd, r.readingC, r.readingS, v, -1, -1);
  }
}
