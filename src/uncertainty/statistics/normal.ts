/** Standard normal distribution. */

const SQRT_2PI = Math.sqrt(2 * Math.PI);

export const normalDensity = (z: number): number => Math.exp(-0.5 * z * z) / SQRT_2PI;

/** Phi(z) - 1/2 by the series z phi(z) (1 + z^2/3 + z^4/15 + ...), all terms of one sign. */
const centralSeries = (z: number): number => {
  let term = z;
  let sum = z;
  for (let n = 1; Math.abs(term) > 1e-17 * Math.abs(sum); n += 1) {
    term *= (z * z) / (2 * n + 1);
    sum += term;
  }
  return sum * normalDensity(z);
};

/** P(Z > z) for z above 2, by the continued fraction of Mills' ratio (modified Lentz). Relative accuracy kept to z = 37. */
const farTail = (z: number): number => {
  let f = z;
  let c = z;
  let d = 0;
  for (let n = 1; n < 500; n += 1) {
    d = 1 / (z + n * d);
    c = z + n / c;
    const step = c * d;
    f *= step;
    if (Math.abs(step - 1) < 1e-16) break;
  }
  return normalDensity(z) / f;
};

/** P(Z > z), with full relative accuracy in the upper tail. */
export const normalUpperTail = (z: number): number => {
  if (Number.isNaN(z)) return Number.NaN;
  if (z < -2) return 1 - normalUpperTail(-z);
  if (z > 2) return z === Number.POSITIVE_INFINITY ? 0 : farTail(z);
  return 0.5 - centralSeries(z);
};

/** Phi(z) = P(Z <= z), with full relative accuracy in the lower tail. */
export const normalCdf = (z: number): number => normalUpperTail(-z);

/** P(low <= Z <= high) without the loss of digits of a plain difference of two upper ends. */
export const normalBetween = (low: number, high: number): number =>
  low > 0 ? normalUpperTail(low) - normalUpperTail(high) : normalCdf(high) - normalCdf(low);

const rational = (x: number, top: readonly number[], bottom: readonly number[]): number => {
  const horner = (coefficients: readonly number[]): number => coefficients.reduceRight((sum, a) => sum * x + a, 0);
  return horner(top) / horner(bottom);
};

/**
 * z with Phi(z) = p, relative accuracy about 1e-16 for p down to 1e-300; -Infinity at 0, Infinity at 1, NaN outside.
 * Near 1 give the small tail instead: -normalQuantile(q) with q = 1 - p.
 * Source: M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988), routine PPND16.
 */
export const normalQuantile = (p: number): number => {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) return q * rational(0.180625 - q * q, A, B);
  const tail = Math.min(p, 1 - p);
  if (tail === 0) return q < 0 ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  const r = Math.sqrt(-Math.log(tail));
  const z = r <= 5 ? rational(r - 1.6, C, D) : rational(r - 5, E, F);
  return q < 0 ? -z : z;
};

const A = [
  3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987, 67265.7709270087,
  33430.57558358813, 2509.0809287301227,
];
const B = [
  1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271, 28729.085735721943,
  5226.495278852546,
];
const C = [
  1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684, 0.2417807251774506,
  0.022723844989269184, 0.0007745450142783414,
];
const D = [
  1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
  0.0005475938084995345, 1.0507500716444169e-9,
];
const E = [
  6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
  0.0012426609473880784, 2.7115555687434876e-5, 2.0103343992922881e-7,
];
const F = [
  1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133, 1.8463183175100548e-5,
  1.421511758316446e-7, 2.0442631033899397e-15,
];
