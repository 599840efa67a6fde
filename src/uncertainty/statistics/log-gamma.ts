/** What is left of ln Gamma(x) after Stirling's leading terms, for x of 10 and above (Abramowitz and Stegun, 6.1.41). */
const COEFFICIENTS = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156, -3617 / 122400];

const series = (x: number): number => {
  const square = 1 / (x * x);
  return COEFFICIENTS.reduceRight((sum, a) => sum * square + a, 0) / x;
};

/** ln Gamma(x) - [(x - 1/2) ln x - x + ln(2 pi)/2] for x > 0. */
export const stirlingRest = (x: number): number => {
  if (x >= 10) return series(x);
  // Recurrence of the rest itself, so that nothing large is subtracted: rest(x) = rest(x + 1) + (x + 1/2) ln(1 + 1/x) - 1.
  let at = x;
  let sum = 0;
  while (at < 10) {
    sum += (at + 0.5) * Math.log1p(1 / at) - 1;
    at += 1;
  }
  return sum + series(at);
};

/** ln Gamma(x) for x > 0. */
export const logGamma = (x: number): number =>
  (x - 0.5) * Math.log(x) - x + 0.5 * Math.log(2 * Math.PI) + stirlingRest(x);

/** ln[Gamma(x + 1/2) / Gamma(x)] without cancellation at large x. */
export const logGammaHalfStep = (x: number): number =>
  x * Math.log1p(0.5 / x) - 0.5 + 0.5 * Math.log(x) + stirlingRest(x + 0.5) - stirlingRest(x);

/** x - ln(1 + x) for x > -1, without cancellation near zero. */
export const minusLog1p = (x: number): number => {
  if (Math.abs(x) > 0.1) return x - Math.log1p(x);
  let term = x * x;
  let sum = 0;
  for (let n = 2; n < 40; n += 1) {
    sum += term / n;
    term *= -x;
    if (Math.abs(term) < 1e-18 * x * x) break;
  }
  return sum;
};
