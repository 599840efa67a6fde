import type { RandomWords } from "./random-words.ts";

/**
 * Blocks of deviates from random words. Normal ones by the ziggurat with 256 layers (G. Marsaglia and W. W. Tsang,
 * Journal of Statistical Software 5(8), 2000), with separate bits for layer and place as J. A. Doornik (2005) asks for.
 */
const LAYERS = 256;
/** Start of the tail and area of a layer for 256 layers. */
const TAIL = 3.6541528853610088;
const AREA = 0.00492867323399;

const EDGES = new Float64Array(LAYERS + 1);
const HEIGHTS = new Float64Array(LAYERS + 1);
const SHARES = new Float64Array(LAYERS);

const height = (x: number): number => Math.exp(-0.5 * x * x);

EDGES[0] = AREA / height(TAIL);
EDGES[1] = TAIL;
for (let i = 2; i < LAYERS; i += 1) {
  const x = EDGES[i - 1] ?? 0;
  EDGES[i] = Math.sqrt(-2 * Math.log(AREA / x + height(x)));
}
EDGES[LAYERS] = 0;
for (let i = 0; i <= LAYERS; i += 1) HEIGHTS[i] = height(EDGES[i] ?? 0);
for (let i = 0; i < LAYERS; i += 1) SHARES[i] = (EDGES[i + 1] ?? 0) / (EDGES[i] ?? 1);

const SPARE = 1024;

export class Deviates {
  readonly #words: RandomWords;
  readonly #spare = new Uint32Array(SPARE);
  #used = SPARE;
  #buffer = new Uint32Array(0);

  constructor(words: RandomWords) {
    this.#words = words;
  }

  /** Two fresh words for each of n deviates. */
  #pairs(n: number): Uint32Array {
    if (this.#buffer.length !== 2 * n) this.#buffer = new Uint32Array(2 * n);
    this.#words.fill(this.#buffer);
    return this.#buffer;
  }

  #word(): number {
    if (this.#used === SPARE) {
      this.#words.fill(this.#spare);
      this.#used = 0;
    }
    const word = this.#spare[this.#used] ?? 0;
    this.#used += 1;
    return word;
  }

  /** One uniform deviate in (0, 1), 53 bits, never an end. */
  uniform(): number {
    return ((this.#word() >>> 6) * 0x800_0000 + (this.#word() >>> 5) + 0.5) * 2 ** -53;
  }

  /** One normal deviate whose layer and place (-1 to 1) are drawn already. */
  #settle(layer: number, place: number): number {
    let [at, u] = [layer, place];
    for (;;) {
      const x = u * (EDGES[at] ?? 0);
      if (Math.abs(u) < (SHARES[at] ?? 0)) return x;
      if (at === 0) return this.#tail(u < 0);
      const [low, high] = [HEIGHTS[at] ?? 0, HEIGHTS[at + 1] ?? 0];
      if (low + this.uniform() * (high - low) < height(x)) return x;
      at = this.#word() & 255;
      u = 2 * this.uniform() - 1;
    }
  }

  #tail(negative: boolean): number {
    for (;;) {
      const x = -Math.log(this.uniform()) / TAIL;
      if (-2 * Math.log(this.uniform()) > x * x) return negative ? -(TAIL + x) : TAIL + x;
    }
  }

  /** n normal deviates into `into`. */
  normals(into: Float64Array, n: number, mean = 0, sd = 1): void {
    const words = this.#pairs(n);
    for (let i = 0; i < n; i += 1) {
      const first = words[2 * i] as number;
      const layer = first & 255;
      // 24 bits of the first word below the 32 of the second: a place in (-1, 1) of 53 bits and more.
      const place =
        (((words[2 * i + 1] as number) | 0) + (first >>> 8) * 5.9604644775390625e-8) * 4.656612873077393e-10;
      const inside = Math.abs(place) < (SHARES[layer] as number);
      into[i] = mean + sd * (inside ? place * (EDGES[layer] as number) : this.#settle(layer, place));
    }
  }

  /** n uniform deviates within `half_width` of the mean into `into`, never at an end. */
  places(into: Float64Array, n: number, mean = 0, half_width = 1): void {
    const words = this.#pairs(n);
    for (let i = 0; i < n; i += 1) {
      const low = ((words[2 * i] as number) >>> 11) + 0.5;
      const place = (((words[2 * i + 1] as number) | 0) + low * 4.76837158203125e-7) * 4.656612873077393e-10;
      into[i] = mean + half_width * place;
    }
  }

  /** One t deviate, any degrees of freedom above zero (R. W. Bailey, Mathematics of Computation 62 (1994)). */
  student(dof: number): number {
    for (;;) {
      const u = 2 * this.uniform() - 1;
      const v = 2 * this.uniform() - 1;
      const w = u * u + v * v;
      if (w < 1) return u * Math.sqrt((dof * (w ** (-2 / dof) - 1)) / w);
    }
  }
}
