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
  // State in an Int32Array: plain variables turn into doubles between calls, and the loop then takes five times as long.
  const state = Int32Array.of(0, seed >>> 0, Math.floor(seed / 0x1_0000_0000) >>> 0, 1);
  const fill = (into: Uint32Array): void => {
    let a = state[0] as number;
    let b = state[1] as number;
    let c = state[2] as number;
    let counter = state[3] as number;
    const { length } = into;
    for (let i = 0; i < length; i += 1) {
      const word = (((a + b) | 0) + counter) | 0;
      counter = (counter + 1) | 0;
      a = b ^ (b >>> 9);
      b = (c + (c << 3)) | 0;
      c = (((c << 21) | (c >>> 11)) + word) | 0;
      into[i] = word;
    }
    state[0] = a;
    state[1] = b;
    state[2] = c;
    state[3] = counter;
  };
  // The first words still show the seed: Doty-Humphrey discards 12 to 15.
  fill(new Uint32Array(15));
  return { name: `sfc32, seed ${seed}`, fill };
};
