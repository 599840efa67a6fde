import { normalUpperTail } from "../uncertainty/statistics/normal.ts";
import { studentTUpperTail } from "../uncertainty/statistics/student-t.ts";

/** Guard bands, ratios and the risk at one point, for a symmetric limit: |error| at most `limit`. */

/** P(true error outside +-limit | measured error), with a t distribution when the degrees of freedom are few. */
export const specificRisk = (error: number, limit: number, u: number, dof = Number.POSITIVE_INFINITY): number => {
  if (u === 0) return Math.abs(error) <= limit ? 0 : 1;
  const tail = (z: number): number =>
    dof === Number.POSITIVE_INFINITY ? normalUpperTail(z) : studentTUpperTail(z, dof);
  return Math.min(1, tail((limit - error) / u) + tail((limit + error) / u));
};

/**
 * Largest |error| whose specific risk is at most `risk`; null when even an error of zero has more. Both limits count.
 * The risk rises with |error|, so the boundary is found by halving.
 */
export const acceptanceForRisk = (limit: number, u: number, dof: number, risk: number): number | null => {
  if (specificRisk(0, limit, u, dof) > risk) return null;
  let low = 0;
  let high = limit;
  if (specificRisk(high, limit, u, dof) <= risk) return high;
  for (let n = 0; n < 200 && high - low > 1e-15 * limit; n += 1) {
    const middle = 0.5 * (low + high);
    if (specificRisk(middle, limit, u, dof) <= risk) low = middle;
    else high = middle;
  }
  return low;
};

/** Tolerance span over the span of U: (upper - lower)/(2 U). Named TUR in ANSI/NCSL Z540.3 (from memory). */
export const testUncertaintyRatio = (limit: number, U: number): number => limit / U;

/** Measurement capability index of a symmetric limit, JCGM 106:2012, 7.6.2: limit/U with U = 2u. Equals the ratio above. */
export const capabilityIndex = (limit: number, u: number): number => limit / (2 * u);

/** Tolerance of the unit over that of the standard; it leaves out everything else in the process (from memory). */
export const testAccuracyRatio = (limit: number, standard_limit: number): number => limit / standard_limit;

/** Acceptance limit of ANSI/NCSL Z540.3 handbook method 5 (from memory): limit less U95. */
export const acceptanceByMethod5 = (limit: number, U95: number): number => limit - U95;

/**
 * Multiplier of U95 in ANSI/NCSL Z540.3 handbook method 6 (from memory; M. Dobbert, 2008): holds the global false
 * accept risk at 2 % or below. Zero from a ratio of about 4.6 on: no guard band.
 */
export const method6Multiplier = (ratio: number): number => Math.max(0, 1.04 - Math.exp(0.38 * Math.log(ratio) - 0.54));

export const acceptanceByMethod6 = (limit: number, U95: number): number => limit - U95 * method6Multiplier(limit / U95);

/** Root-difference-of-squares guard band (from memory): sqrt(limit^2 - U^2); null when U is above the limit. */
export const acceptanceByRootDifference = (limit: number, U: number): number | null =>
  U > limit ? null : Math.sqrt((limit - U) * (limit + U));
