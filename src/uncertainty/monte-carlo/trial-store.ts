import { type Interval, type IntervalKind, intervalOf } from "./coverage-interval.ts";

/**
 * All trials of one output, in bounded memory. Up to `EXACT` values are kept as they are (32 MB). Beyond that they are
 * counted in 2^20 equal bins (8 MB) between two quantiles far out in the first values, with one bin below and one
 * above; the bin width is then some ten-thousandths of u, far inside the numerical tolerance.
 */
const EXACT = 4_000_000;
const BINS = 2 ** 20;

export class TrialStore {
  readonly #probability: number;
  readonly #limit: number;
  #values: Float64Array;
  #counts: Float64Array | null = null;
  #low = 0;
  #width = 0;
  #smallest = Number.POSITIVE_INFINITY;
  #largest = Number.NEGATIVE_INFINITY;
  #n = 0;
  /** First value; means are kept as distances from it, so that a large constant part costs no digits. */
  #origin = 0;
  #offset = 0;
  #squares = 0;

  /** `expected` values, when their number is known, are given their room at once. */
  constructor(probability: number, expected = 65_536, exact = EXACT) {
    this.#probability = probability;
    this.#limit = exact;
    this.#values = new Float64Array(Math.min(expected, exact));
  }

  get n(): number {
    return this.#n;
  }

  get mean(): number {
    return this.#origin + this.#offset;
  }

  /** Standard deviation, divisor n - 1. */
  get u(): number {
    return this.#n < 2 ? 0 : Math.sqrt(this.#squares / (this.#n - 1));
  }

  get exact(): boolean {
    return this.#counts === null;
  }

  /** Takes the first n of a block. Mean and squares of the block are taken in two passes, then joined (Chan's formula). */
  take(block: Float64Array, n: number): { readonly mean: number; readonly u: number } {
    if (this.#n === 0) this.#origin = block[0] as number;
    const origin = this.#origin;
    let sum = 0;
    for (let i = 0; i < n; i += 1) sum += (block[i] as number) - origin;
    const offset = sum / n;
    let squares = 0;
    for (let i = 0; i < n; i += 1) {
      const d = (block[i] as number) - origin - offset;
      squares += d * d;
    }
    const total = this.#n + n;
    const step = offset - this.#offset;
    this.#squares += squares + (step * step * this.#n * n) / total;
    this.#offset += (step * n) / total;
    if (this.#counts === null && total > this.#limit) this.#startCounting();
    if (this.#counts === null) this.#keep(block, n);
    else this.#count(this.#counts, block, n);
    this.#n = total;
    return { mean: origin + offset, u: n < 2 ? 0 : Math.sqrt(squares / (n - 1)) };
  }

  interval(kind: IntervalKind): Interval {
    if (this.#counts === null) return intervalOf(this.#values.subarray(0, this.#n), this.#probability, kind);
    return this.#countedInterval(this.#counts, kind);
  }

  #keep(block: Float64Array, n: number): void {
    if (this.#n + n > this.#values.length) {
      const larger = new Float64Array(Math.max(this.#n + n, 2 * this.#values.length));
      larger.set(this.#values.subarray(0, this.#n));
      this.#values = larger;
    }
    this.#values.set(n === block.length ? block : block.subarray(0, n), this.#n);
  }

  #startCounting(): void {
    const sorted = this.#values.subarray(0, this.#n).sort();
    const far = Math.floor(((1 - this.#probability) / 100) * this.#n);
    this.#low = sorted[far] as number;
    const high = sorted[this.#n - 1 - far] as number;
    this.#width = (high - this.#low) / BINS || Number.MIN_VALUE;
    const counts = new Float64Array(BINS + 2);
    this.#counts = counts;
    this.#count(counts, sorted, this.#n);
    this.#values = new Float64Array(0);
  }

  #count(counts: Float64Array, block: Float64Array, n: number): void {
    const [low, scale] = [this.#low, 1 / this.#width];
    for (let i = 0; i < n; i += 1) {
      const x = block[i] as number;
      if (x < this.#smallest) this.#smallest = x;
      if (x > this.#largest) this.#largest = x;
      const at = Math.floor((x - low) * scale) + 1;
      const bin = at < 0 ? 0 : at > BINS ? BINS + 1 : at;
      counts[bin] = (counts[bin] as number) + 1;
    }
  }

  /** Lower edge of a bin; the outermost two reach to the smallest and largest value. */
  #edge(bin: number): number {
    if (bin === 0) return this.#smallest;
    return bin > BINS + 1 ? this.#largest : this.#low + (bin - 1) * this.#width;
  }

  /** For every start at a bin edge the end that holds p, by interpolation; the shortest, or the one with equal tails. */
  #countedInterval(counts: Float64Array, kind: IntervalKind): Interval {
    const wanted = this.#probability * this.#n;
    const tail = (this.#n - wanted) / 2;
    let best: Interval = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    let [below, bin, reached] = [0, 0, 0];
    for (let start = 0; start < counts.length; start += 1) {
      const inBin = counts[start] as number;
      const share = kind === "symmetric" && inBin > 0 ? Math.min(1, Math.max(0, (tail - below) / inBin)) : 0;
      const target = below + share * inBin + wanted;
      if (target > this.#n) break;
      while (bin < counts.length - 1 && reached + (counts[bin] as number) < target) {
        reached += counts[bin] as number;
        bin += 1;
      }
      const part = (target - reached) / Math.max(1, counts[bin] as number);
      const low = this.#edge(start) + share * (this.#edge(start + 1) - this.#edge(start));
      const high = this.#edge(bin) + Math.min(1, part) * (this.#edge(bin + 1) - this.#edge(bin));
      if (kind === "symmetric") {
        best = [low, high];
        if (below + inBin >= tail) break;
      } else if (high - low < best[1] - best[0]) {
        best = [low, high];
      }
      below += inBin;
    }
    return best;
  }
}
