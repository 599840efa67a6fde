import { betaFraction } from "./incomplete-beta.ts";
import { logGammaHalfStep } from "./log-gamma.ts";
import { normalCdf, normalDensity, normalQuantile, normalUpperTail } from "./normal.ts";

/**
 * Student's t distribution with any `dof` above zero, whole or not; `Infinity` is the normal distribution.
 * From `ASYMPTOTIC` on, t is turned into an equivalent normal deviate, where the expansion is exact to double precision.
 */
const ASYMPTOTIC = 1e5;

/** ln of the density. */
const logDensity = (t: number, dof: number): number => {
  const ratio = Math.abs(t) / Math.sqrt(dof);
  // Far out the square would overflow: ln(1 + x^2) = 2 ln x there.
  const spread = ratio < 1e100 ? Math.log1p(ratio * ratio) : 2 * Math.log(ratio);
  return logGammaHalfStep(dof / 2) - 0.5 * Math.log(dof * Math.PI) - ((dof + 1) / 2) * spread;
};

const studentTDensity = (t: number, dof: number): number =>
  dof === Number.POSITIVE_INFINITY ? normalDensity(t) : Math.exp(logDensity(t, dof));

/** t times the density, which is still a number where the density alone has vanished. */
const scaledDensity = (t: number, dof: number): number => Math.exp(logDensity(t, dof) + Math.log(t));

/**
 * Normal deviate with the same tail as t. Source: G. W. Hill, Algorithm 395, Communications of the ACM 13 (1970);
 * the error is of the order 1/dof^3.
 */
const equivalentDeviate = (t: number, dof: number): number => {
  const a = dof - 0.5;
  const b = 48 * a * a;
  const square = a * Math.log1p((t * t) / dof);
  const w = Math.sign(t) * Math.sqrt(square);
  const w2 = square;
  return w + (w * (w2 + 3)) / b - (w * (((4 * w2 + 33) * w2 + 240) * w2 + 855)) / (10 * b * b);
};

/** P(0 < T <= t) for t >= 0 not far out: half the incomplete beta I_y(1/2, dof/2) with y = t^2/(dof + t^2). */
const centralPart = (t: number, dof: number): number => {
  const y = (t * t) / (dof + t * t);
  // sqrt(y) (1-y)^(dof/2) / (B(1/2, dof/2) / 2), written through the density to keep its accuracy.
  return t * studentTDensity(t, dof) * betaFraction(y, 0.5, dof / 2);
};

/** P(T > t) for t > 0 far out: half of I_x(dof/2, 1/2) with x = dof/(dof + t^2). */
const outerPart = (t: number, dof: number): number => {
  const ratio = dof / t / t;
  const x = ratio / (1 + ratio);
  return (scaledDensity(t, dof) * betaFraction(x, dof / 2, 0.5)) / dof;
};

/** P(T > t). */
export const studentTUpperTail = (t: number, dof: number): number => {
  if (!(dof > 0) || Number.isNaN(t)) return Number.NaN;
  if (t === 0) return 0.5;
  if (!Number.isFinite(t)) return t > 0 ? 0 : 1;
  if (dof === Number.POSITIVE_INFINITY) return normalUpperTail(t);
  if (dof >= ASYMPTOTIC) return normalUpperTail(equivalentDeviate(t, dof));
  if (t < 0) return 1 - studentTUpperTail(-t, dof);
  return t * t < 1.5 + 3 / dof ? 0.5 - centralPart(t, dof) : outerPart(t, dof);
};

/** P(T <= t). */
export const studentTCdf = (t: number, dof: number): number =>
  dof === Number.POSITIVE_INFINITY ? normalCdf(t) : studentTUpperTail(-t, dof);

/** t > 0 with P(0 < T <= t) = share, share below a quarter: Newton from the density at the centre. */
const nearCentre = (share: number, dof: number): number => {
  let t = share / studentTDensity(0, dof);
  for (let n = 0; n < 60; n += 1) {
    const step = (centralPart(t, dof) - share) / studentTDensity(t, dof);
    t -= step;
    if (Math.abs(step) <= 1e-16 * t) break;
  }
  return t;
};

/**
 * t > 0 with P(T > t) = tail, tail at most a quarter. Newton on ln(tail) against ln(t): that curve is concave and
 * falling, so from the first step on it comes down to the answer from above, whatever the start.
 */
const farOut = (tail: number, dof: number): number => {
  const z = Math.max(-normalQuantile(tail), 0.5);
  // Expansion in 1/dof, only to begin near the answer: Abramowitz and Stegun, 26.7.5, first two terms.
  const near = z + (z * (z * z + 1)) / (4 * dof) + (z * ((5 * z * z + 16) * z * z + 3)) / (96 * dof * dof);
  let log = Math.log(z * z < dof ? near : z);
  let last = Number.POSITIVE_INFINITY;
  for (let n = 0; n < 200; n += 1) {
    const t = Math.exp(log);
    const value = studentTUpperTail(t, dof);
    const step = (Math.log(value / tail) * value) / scaledDensity(t, dof);
    log += step;
    const size = Math.abs(step);
    // Newton's steps shrink to the rounding of the tail and then stay there.
    if (size <= 4e-16 * Math.max(1, Math.abs(log)) || (size < 1e-9 && size >= last)) break;
    last = size;
  }
  return Math.exp(log);
};

/** t with equivalent normal deviate z, for a large `dof`: fixed-point steps, each gains a factor of about z^2/dof. */
const fromDeviate = (z: number, dof: number): number => {
  let t = z;
  for (let n = 0; n < 60; n += 1) {
    const slope = 1 - (z * z) / (2 * dof);
    const step = (equivalentDeviate(t, dof) - z) / Math.max(0.5, slope);
    t -= step;
    if (Math.abs(step) <= 1e-16 * Math.abs(t)) break;
  }
  return t;
};

/** t with P(T <= t) = p; -Infinity at 0, Infinity at 1, NaN outside or with `dof` not above zero. */
export const studentTQuantile = (p: number, dof: number): number => {
  if (!(dof > 0) || !(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0) return Number.NEGATIVE_INFINITY;
  if (p === 1) return Number.POSITIVE_INFINITY;
  if (dof === Number.POSITIVE_INFINITY) return normalQuantile(p);
  if (dof >= ASYMPTOTIC) return fromDeviate(normalQuantile(p), dof);
  const share = p - 0.5;
  if (share === 0) return 0;
  const t = Math.abs(share) < 0.25 ? nearCentre(Math.abs(share), dof) : farOut(Math.min(p, 1 - p), dof);
  return share < 0 ? -t : t;
};
