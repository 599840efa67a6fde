/** A small seeded source of randomness (PCG-like mixing, 32 bit state words), so that every made-up unit can be made again. */
export class SeededRandom {
  #a: number;
  #b: number;
  #c: number;
  #d = 1;
  #spare = Number.NaN;

  constructor(seed: number, stream = 0) {
    this.#a = seed | 0;
    this.#b = Math.imul(stream + 1, 0x9e3779b1) | 0;
    this.#c = Math.imul(seed ^ 0x5bd1e995, 0x85ebca6b) ^ stream;
    for (let i = 0; i < 20; i++) this.next();
  }

  /** Uniform in [0, 1): the small fast counter generator "sfc32". */
  next(): number {
    const t = (((this.#a + this.#b) | 0) + this.#d) | 0;
    this.#d = (this.#d + 1) | 0;
    this.#a = this.#b ^ (this.#b >>> 9);
    this.#b = (this.#c + (this.#c << 3)) | 0;
    this.#c = (this.#c << 21) | (this.#c >>> 11);
    this.#c = (this.#c + t) | 0;
    return (t >>> 0) / 4294967296;
  }

  uniform(low: number, high: number): number {
    return low + (high - low) * this.next();
  }

  logUniform(low: number, high: number): number {
    return low * (high / low) ** this.next();
  }

  chance(probability: number): boolean {
    return this.next() < probability;
  }

  pick<T>(items: readonly [T, ...T[]]): T {
    return items[Math.floor(this.next() * items.length)] ?? items[0];
  }

  /** Standard normal, polar method. */
  normal(): number {
    if (!Number.isNaN(this.#spare)) {
      const kept = this.#spare;
      this.#spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * this.next() - 1;
      const y = 2 * this.next() - 1;
      const r = x * x + y * y;
      if (r > 0 && r < 1) {
        const f = Math.sqrt((-2 * Math.log(r)) / r);
        this.#spare = y * f;
        return x * f;
      }
    }
  }
}
