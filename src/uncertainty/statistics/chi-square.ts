import { logGamma, minusLog1p, stirlingRest } from "./log-gamma.ts";
import { normalDensity, normalQuantile, normalUpperTail } from "./normal.ts";

/** Chi-square distribution with `dof` above zero. From `ASYMPTOTIC` on Temme's uniform expansion takes over. */
const ASYMPTOTIC = 1e6;

/** The two tails; each is accurate for itself, so take the small one. */
interface Tails {
  readonly lower: number;
  readonly upper: number;
}

/** x^a e^-x / Gamma(a + 1), through the distance of x from a, so that nothing large cancels. */
const front = (a: number, x: number): number => {
  const share = x / a;
  const distance = share < 0.5 ? share - 1 - Math.log(share) : minusLog1p((x - a) / a);
  return Math.exp(-a * distance - stirlingRest(a)) / Math.sqrt(2 * Math.PI * a);
};

/** Incomplete gamma functions P(a, x), Q(a, x) by series or continued fraction. */
const byFraction = (a: number, x: number): Tails => {
  const factor = front(a, x);
  if (x < a + 1) {
    let term = 1;
    let sum = 1;
    for (let n = 1; term > 1e-17 * sum; n += 1) {
      term *= x / (a + n);
      sum += term;
    }
    return { lower: factor * sum, upper: 1 - factor * sum };
  }
  let b = x + 1 - a;
  let c = Number.MAX_VALUE;
  let d = 1 / b;
  let f = d;
  for (let n = 1; n < 1_000_000; n += 1) {
    const numerator = -n * (n - a);
    b += 2;
    d = 1 / (numerator * d + b);
    c = b + numerator / c;
    const step = c * d;
    f *= step;
    if (Math.abs(step - 1) < 1e-16) break;
  }
  const upper = factor * a * f;
  return { lower: 1 - upper, upper };
};

/** First coefficients of N. M. Temme, SIAM J. Math. Anal. 10 (1979); two orders are enough at this size. */
const C0 = [-1 / 3, 1 / 12, -2 / 135, 1 / 864, 1 / 2835];
const C1 = [-1 / 540, -1 / 288, 1 / 378];

const byExpansion = (a: number, x: number): Tails => {
  const mu = (x - a) / a;
  const eta = Math.sign(mu) * Math.sqrt(2 * minusLog1p(mu));
  const z = eta * Math.sqrt(a);
  const poly = (coefficients: readonly number[]): number => coefficients.reduceRight((sum, k) => sum * eta + k, 0);
  const rest = (normalDensity(z) / Math.sqrt(a)) * (poly(C0) + poly(C1) / a);
  return { lower: normalUpperTail(-z) - rest, upper: normalUpperTail(z) + rest };
};

const tails = (x: number, dof: number): Tails => {
  if (!(dof > 0) || Number.isNaN(x)) return { lower: Number.NaN, upper: Number.NaN };
  if (x <= 0) return { lower: 0, upper: 1 };
  if (x === Number.POSITIVE_INFINITY) return { lower: 1, upper: 0 };
  const near = Math.abs(x - dof) < 0.05 * dof;
  return dof >= ASYMPTOTIC && near ? byExpansion(dof / 2, x / 2) : byFraction(dof / 2, x / 2);
};

/** P(X <= x). */
export const chiSquareCdf = (x: number, dof: number): number => tails(x, dof).lower;

/** P(X > x). */
export const chiSquareUpperTail = (x: number, dof: number): number => tails(x, dof).upper;

/** x times the density: d(cdf)/d(ln x). */
const slope = (x: number, dof: number): number => front(dof / 2, x / 2) * (dof / 2);

/** A start for Newton's steps: Wilson and Hilferty's cube, or far down the lower tail the first term of the series. */
const start = (p: number, dof: number): number => {
  const c = 2 / (9 * dof);
  const root = 1 - c + normalQuantile(p) * Math.sqrt(c);
  return root > 0.3 ? dof * root ** 3 : 2 * Math.exp((Math.log(p) + logGamma(dof / 2 + 1)) / (dof / 2));
};

/**
 * x with P(X <= x) = p, 0 at 0, Infinity at 1, NaN outside. Newton on the logarithm of the smaller tail against ln x,
 * kept inside a bracket.
 */
export const chiSquareQuantile = (p: number, dof: number): number => {
  if (!(dof > 0) || !(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0) return 0;
  if (p === 1) return Number.POSITIVE_INFINITY;
  const lower = p <= 0.5;
  const target = lower ? p : 1 - p;
  let log = Math.log(start(p, dof));
  let below = Number.NEGATIVE_INFINITY;
  let above = Number.POSITIVE_INFINITY;
  for (let n = 0; n < 300; n += 1) {
    const x = Math.exp(log);
    const both = tails(x, dof);
    const value = lower ? both.lower : both.upper;
    const excess = Math.log(value / target) * (lower ? 1 : -1);
    if (excess > 0) above = Math.min(above, log);
    else below = Math.max(below, log);
    const step = (excess * value) / slope(x, dof);
    if (Math.abs(step) <= 1e-16 * Math.max(1, Math.abs(log))) break;
    const next = log - step;
    log = next > below && next < above ? next : inside(below, above, log);
  }
  return Math.exp(log);
};

const inside = (below: number, above: number, at: number): number => {
  if (!Number.isFinite(below)) return Math.min(at, above) - 2;
  if (!Number.isFinite(above)) return Math.max(at, below) + 1;
  return 0.5 * (below + above);
};
