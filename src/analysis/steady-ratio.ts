/** Weights of the filters for level, spread about it, and steps from value to value; each above 0, at most 1. */
export type SteadyRatioWeights = readonly [level: number, spread: number, steps: number];

/**
 * Ratio of two estimates of the same variance, value by value: about 1 for steady white noise, more while the level
 * moves and for values that hang together. null for the first value, and while nothing has changed at all. The level is
 * that before its update; the first ratio depends on the weights alone. Source of the recursion: S. Cao and
 * R. R. Rhinehart, J. Process Control 5(6) (1995) 363, in public transcriptions.
 */
export const steadyRatios = (
  values: readonly number[],
  [level, spread, steps]: SteadyRatioWeights,
): readonly (number | null)[] => {
  let filtered = values[0] ?? Number.NaN;
  let last = filtered;
  let about = 0;
  let between = 0;
  return values.map((x, i) => {
    if (i === 0) return null;
    about = spread * (x - filtered) ** 2 + (1 - spread) * about;
    filtered = level * x + (1 - level) * filtered;
    between = steps * (x - last) ** 2 + (1 - steps) * between;
    last = x;
    return between === 0 ? null : ((2 - level) * about) / between;
  });
};
