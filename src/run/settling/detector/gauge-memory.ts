/** What is known of the gauge: display digit, update period, noise. Learned over a run unless given. */
export class GaugeMemory {
  readonly #givenResolution: number | null;
  readonly #givenPeriod: number | null;
  #learnedResolution = 0;
  #period = 0;
  readonly #intervals = new Float64Array(48);
  readonly #sorted = new Float64Array(48);
  #intervalCount = 0;
  #noiseSum = 0;
  #noiseFreedom = 0;
  /** Times that it showed one value for ten periods and then another. */
  #stands = 0;
  /** Accepted readings and those among them that repeated the one before; old ones fade. */
  #readings = 0;
  #repeats = 0;
  #wanderSum = 0;
  #wanderFreedom = 0;

  constructor(resolution: number | null, updatePeriod: number | null) {
    this.#givenResolution = resolution !== null && resolution > 0 ? resolution : null;
    this.#givenPeriod = updatePeriod !== null && updatePeriod > 0 ? updatePeriod : null;
  }

  get resolution(): number {
    return this.#givenResolution ?? this.#learnedResolution;
  }

  /** Endless while nothing is known: then a repeat is never taken for a new sample. */
  get updatePeriod(): number {
    if (this.#givenPeriod !== null) return this.#givenPeriod;
    return this.#intervalCount >= 2 ? this.#period : Number.POSITIVE_INFINITY;
  }

  sawChange(interval: number, size: number): void {
    if (size > 1e-9 && (this.#learnedResolution === 0 || size < this.#learnedResolution))
      this.#learnedResolution = size;
    if (!(interval > 0) || interval > 20) return;
    if (interval > 10 * this.updatePeriod) this.#stands++;
    this.#intervals[this.#intervalCount % 48] = interval;
    this.#intervalCount++;
    const n = Math.min(48, this.#intervalCount);
    if (this.#intervalCount > 48 && this.#intervalCount % 8 !== 0) return;
    this.#sorted.set(this.#intervals);
    const sorted = this.#sorted.subarray(0, n).sort();
    // Changes may be missed, so intervals come in multiples: the mean of those near the shortest fifth.
    const short = sorted[Math.floor(n * 0.2)] ?? interval;
    let sum = 0;
    let count = 0;
    for (let i = 0; i < n; i++) {
      const d = sorted[i] ?? 0;
      if (d > 1.6 * short) break;
      if (d < 0.5 * short) continue;
      sum += d;
      count++;
    }
    this.#period = count > 0 ? sum / count : short;
  }

  /** Pools a residual variance; old knowledge fades so that a gauge that grows noisy is noticed. */
  sawNoise(variance: number, freedom: number): void {
    if (!(variance >= 0) || !(freedom > 0)) return;
    const keep = Math.min(1, Math.max(0, 200 - freedom) / Math.max(1, this.#noiseFreedom));
    this.#noiseSum = this.#noiseSum * keep + variance * freedom;
    this.#noiseFreedom = this.#noiseFreedom * keep + freedom;
  }

  get noiseFreedom(): number {
    return this.#noiseFreedom;
  }

  /** Variance of one reading; the rounding of the display is its floor. */
  get variance(): number {
    const floor = this.resolution ** 2 / 12;
    return Math.max(floor, 1e-8, this.#noiseFreedom > 0 ? this.#noiseSum / this.#noiseFreedom : 0);
  }

  /** Noise below 0.6 of the display digit: repeats are then real samples more often than stale ones. */
  get quiet(): boolean {
    const q = this.resolution;
    return this.#noiseFreedom >= 6 && q > 0 && this.#noiseSum / this.#noiseFreedom < (0.6 * q) ** 2;
  }

  /** Counts an accepted reading; the last few hundred tell. */
  sawReading(repeated: boolean): void {
    this.#readings = 0.997 * this.#readings + 1;
    this.#repeats = 0.997 * this.#repeats + (repeated ? 1 : 0);
  }

  /**
   * Noise so far above the display digit that readings in a row are hardly ever equal. A misfit while the pressure moves
   * looks like noise too, so a gauge that often repeated itself, or stood and went on more than twice, is not called so.
   */
  get restless(): boolean {
    const q = this.resolution;
    const repeatsItself = this.#stands > 2 || this.#repeats > 0.4 * this.#readings;
    return this.#noiseFreedom >= 20 && q > 0 && !repeatsItself && this.#noiseSum / this.#noiseFreedom > (0.8 * q) ** 2;
  }

  sawWander(variance: number, freedom: number): void {
    if (!(freedom > 0) || !Number.isFinite(variance)) return;
    this.#wanderSum += variance * freedom;
    this.#wanderFreedom += freedom;
  }

  /** Variance of the slow wandering of the indication that a mean of a few readings does not take out. */
  get wander(): number {
    const prior = 0.003 ** 2;
    return Math.max(0.001 ** 2, (this.#wanderSum + prior * 3) / (this.#wanderFreedom + 3));
  }
}
