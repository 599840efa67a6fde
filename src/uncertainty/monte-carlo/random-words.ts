/** A stream of 32-bit random words, handed in by whoever owns the seed. The same seed gives the same words. */
export interface RandomWords {
  /** Generator and seed, for the report. */
  readonly name: string;
  fill(into: Uint32Array): void;
}

/**
 * Chris Doty-Humphrey's sfc32, 128 bits of state, period at least 2^32 and on average about 2^127; passes PractRand and
 * TestU01 (his own report; constants 21, 9, 3 from his PractRand source).
 */
export const sfc32 = (seed: number): RandomWords => {
  let a = 0;
  let b = seed >>> 0;
  let c = Math.floor(seed / 0x1_0000_0000) >>> 0;
  let counter = 1;
  const fill = (into: Uint32Array): void => {
    let [p, q, r, n] = [a | 0, b | 0, c | 0, counter | 0];
    for (let i = 0; i < into.length; i += 1) {
      const word = (((p + q) | 0) + n) | 0;
      n = (n + 1) | 0;
      p = q ^ (q >>> 9);
      q = (r + (r << 3)) | 0;
      r = ((r << 21) | (r >>> 11)) + word;
      r |= 0;
      into[i] = word;
    }
    [a, b, c, counter] = [p, q, r, n];
  };
  // The first words still show the seed: Doty-Humphrey discards 12 to 15.
  fill(new Uint32Array(15));
  return { name: `sfc32, seed ${seed}`, fill };
};
