import { incompleteBeta } from "./incomplete-beta.ts";

/** P(F > f) of the F distribution: spread of `above` over spread of `below` degrees of freedom (A&S 26.6.2). */
export const fUpperTail = (f: number, above: number, below: number): number => {
  if (!(above > 0 && below > 0) || Number.isNaN(f)) return Number.NaN;
  if (f <= 0) return 1;
  return incompleteBeta(below / (below + above * f), below / 2, above / 2);
};

/** f with P(F <= f) = p, by halving on a scale of ratios; NaN outside 0 to 1. */
export const fQuantile = (p: number, above: number, below: number): number => {
  if (!(above > 0 && below > 0 && p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0) return 0;
  if (p === 1) return Number.POSITIVE_INFINITY;
  let [low, high] = [-1, 1];
  while (fUpperTail(Math.exp(high), above, below) > 1 - p) high *= 2;
  while (fUpperTail(Math.exp(low), above, below) < 1 - p) low *= 2;
  for (let n = 0; n < 200 && high - low > 1e-15 * Math.max(1, Math.abs(high)); n += 1) {
    const middle = 0.5 * (low + high);
    if (fUpperTail(Math.exp(middle), above, below) > 1 - p) low = middle;
    else high = middle;
  }
  return Math.exp(0.5 * (low + high));
};
