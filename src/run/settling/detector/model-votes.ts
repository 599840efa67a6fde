import { modeCount } from "./modes.ts";
import { normalTail } from "./normal.ts";

const mostModels = 1024;

/**
 * The votes of the models on the lag: each has a log weight (prior times marginal likelihood) and a normal distribution of
 * the lag it foresees. All amounts in % of span.
 */
export class ModelVotes {
  readonly #log = new Float64Array(mostModels);
  readonly #mean = new Float64Array(mostModels);
  readonly #variance = new Float64Array(mostModels);
  readonly #main = new Int16Array(mostModels);
  readonly #second = new Int16Array(mostModels);
  #models = 0;
  #bestLog = 0;
  #yy = 0;
  /** Residual sum of squares of the model that speaks loudest. */
  bestResidual = 0;
  /** Probability that the lag exceeds the allowance. */
  exceed = 1;
  /** Mean and standard deviation of the lag. */
  lag = 0;
  lagSd = 0;
  /** How much each main time constant speaks in the answer. */
  readonly tauWeight = new Float64Array(modeCount);

  /** Forgets all votes; `yy` is the centred sum of squares of the data. The constant votes first. */
  begin(yy: number): void {
    this.#yy = yy;
    this.#models = 0;
    this.#bestLog = Number.NEGATIVE_INFINITY;
    this.#add(Math.log(0.05), 0, 0, -1, -1, yy);
  }

  #add(log: number, mean: number, variance: number, main: number, second: number, residual: number): void {
    const m = this.#models++;
    this.#log[m] = log;
    this.#mean[m] = mean;
    this.#variance[m] = variance;
    this.#main[m] = main;
    this.#second[m] = second;
    if (log > this.#bestLog) {
      this.#bestLog = log;
      this.bestResidual = residual;
    }
  }

  /** One mode with amplitude of standard deviation `sd`. */
  single(log: number, ee: number, ey: number, sd: number, lagOf: number, v: number, main: number): void {
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

  /** Two modes with amplitudes of standard deviations `sdJ` and `sdK`. */
  pair(
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

  /** Works out what the votes say together: `exceed`, `lag`, `lagSd`, `tauWeight`. */
  count(allowance: number, slowLag: number, slowSd: number): void {
    let total = 0;
    let mean = 0;
    let square = 0;
    let exceed = 0;
    this.tauWeight.fill(0);
    for (let m = 0; m < this.#models; m++) {
      const w = Math.exp((this.#log[m] ?? 0) - this.#bestLog);
      if (w < 1e-9) continue;
      total += w;
      const centre = (this.#mean[m] ?? 0) + slowLag;
      const variance = (this.#variance[m] ?? 0) + slowSd ** 2;
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
