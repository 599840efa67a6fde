/** Upper tail of the standard normal distribution, P(Z > x); Abramowitz and Stegun 26.2.17, absolute error below 7.5e-8. */
export function normalTail(x: number): number {
  if (x < 0) return 1 - normalTail(-x);
  if (x > 9) return 0;
  const t = 1 / (1 + 0.2316419 * x);
  const poly = t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return 0.3989422804014327 * Math.exp(-0.5 * x * x) * poly;
}
