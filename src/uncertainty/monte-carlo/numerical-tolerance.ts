/**
 * Numerical tolerance of a standard uncertainty: u = c x 10^l with c a whole number of `digits` digits, then
 * 10^l / 2 (JCGM 101:2008, 7.9.2). Zero when u is zero.
 */
export const numericalTolerance = (u: number, digits: 1 | 2): number => {
  if (!(u > 0)) return 0;
  const exponent = Number(u.toExponential(digits - 1).split("e")[1]);
  return 0.5 * 10 ** (exponent - digits + 1);
};

/** Trials in a block of the adaptive procedure: the larger of 10^4 and 100/(1-p), rounded up (JCGM 101:2008, 7.9.4 b). */
export const blockSize = (probability: number): number =>
  // 100/(1 - 0.99) is not 10000 in binary fractions: a billionth is taken off before rounding up.
  Math.max(10_000, Math.ceil((100 / (1 - probability)) * (1 - 1e-9)));
