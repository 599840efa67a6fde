/** Seeded randomness. The same seed and the same calls give the same numbers on every machine. */
export interface Random {
  /** Uniform over [lower, upper); 0 to 1 if left out. */
  uniform(lower?: number, upper?: number): number;
  /** Normal deviate with the given mean and standard deviation; 0 and 1 if left out. */
  normal(mean?: number, sd?: number): number;
  /** Uniform in the logarithm, both ends > 0. */
  logUniform(lower: number, upper: number): number;
  /** True with the given probability. */
  chance(probability: number): boolean;
  /** One of the items, each equally likely; the list must not be empty. */
  pick<T>(items: readonly [T, ...T[]]): T;
  /**
   * An independent generator that depends on the seed and the name alone, never on what was drawn before: adding a draw
   * in one part of the bench leaves the noise of every other part as it was.
   */
  split(name: string): Random;
}

/** 32-bit mixing of a text: FNV-1a, then the finaliser of MurmurHash3; both in the public domain. */
const hash = (text: string): number => {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
};

/** Small Fast Counting generator, 32 bit, by C. Doty-Humphrey (PractRand, public domain): a sum, a rotation and a counter. */
const sfc32 = (a: number, b: number, c: number): (() => number) => {
  let counter = 1;
  const next = (): number => {
    const sum = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    c |= 0;
    return sum >>> 0;
  };
  for (let i = 0; i < 15; i++) next();
  return next;
};

/** A generator for `seed`; any number or text will do. */
export const createRandom = (seed: number | string): Random => {
  const key = String(seed);
  const next = sfc32(hash(`${key}/a`), hash(`${key}/b`), hash(`${key}/c`));
  let spare: number | null = null;

  /** 53 random bits in [0, 1). */
  const unit = (): number => ((next() >>> 5) * 0x4000000 + (next() >>> 6)) / 0x20000000000000;

  const uniform = (lower = 0, upper = 1): number => lower + (upper - lower) * unit();

  /** Box and Muller's transform: two deviates at a time, the second is kept. */
  const normal = (mean = 0, sd = 1): number => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return mean + sd * kept;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - unit()));
    const angle = 2 * Math.PI * unit();
    spare = radius * Math.sin(angle);
    return mean + sd * radius * Math.cos(angle);
  };

  return {
    uniform,
    normal,
    logUniform: (lower, upper) => lower * (upper / lower) ** unit(),
    chance: (probability) => unit() < probability,
    pick: (items) => items[Math.floor(unit() * items.length)] ?? items[0],
    split: (name) => createRandom(`${key}/${name}`),
  };
};
