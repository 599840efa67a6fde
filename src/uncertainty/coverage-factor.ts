import { normalCdf, normalDensity } from "./statistics/normal.ts";
import { studentTQuantile } from "./statistics/student-t.ts";

/** Probability within two standard deviations of a normal distribution: the level of k = 2. */
export const TWO_SIGMA = 0.9544997361036416;

export interface CoverageChoice {
  readonly probability: number;
  /** What becomes of effective degrees of freedom that are no whole number. */
  readonly degrees_of_freedom: "as-is" | "truncated";
  /**
   * `t`: k from Student's t. `convolution`: when one rectangle is the largest part, k from that rectangle convolved with
   * a normal distribution for the rest; a rectangle alone has k = 1.65 at 95 %, where k = 2 would overstate U.
   */
  readonly method: "t" | "convolution";
}

export const DEFAULT_COVERAGE: CoverageChoice = { probability: TWO_SIGMA, degrees_of_freedom: "as-is", method: "t" };

export interface CoverageFactor {
  readonly k: number;
  readonly text: string;
}

export const percentOfCoverage = (probability: number): string => Number((100 * probability).toPrecision(4)).toString();

/** k from Student's t at the effective degrees of freedom (JCGM 100:2008, G.3 and G.4). */
export const coverageByT = (dof: number, choice: CoverageChoice): CoverageFactor => {
  const truncated = choice.degrees_of_freedom === "truncated" && Number.isFinite(dof);
  const used = truncated ? Math.max(1, Math.floor(dof)) : dof;
  const k = -studentTQuantile((1 - choice.probability) / 2, used);
  const percent = percentOfCoverage(choice.probability);
  if (used >= 1e4) return { k, text: `k = ${k.toFixed(2)} for a normal distribution, coverage about ${percent} %` };
  const whole = truncated ? "truncated to a whole number" : "not rounded";
  return {
    k,
    text: `k = ${k.toFixed(2)} from the t distribution with ${used.toFixed(truncated ? 0 : 1)} effective degrees of freedom (${whole}), coverage about ${percent} %`,
  };
};

/** P(|R + N| <= x): R rectangular of half-width a, N normal with standard deviation s. Closed form. */
const centralProbability = (x: number, a: number, s: number): number => {
  if (s === 0) return Math.min(1, x / a);
  // Antiderivative of Phi: z Phi(z) + phi(z).
  const g = (z: number): number => z * normalCdf(z) + normalDensity(z);
  return (2 * s * (g((x + a) / s) - g((x - a) / s))) / (2 * a) - 1;
};

/** k of a rectangle with standard uncertainty `u_rectangle` and an independent normal rest `u_rest`, by halving. */
export const coverageOfRectangleAndNormal = (u_rectangle: number, u_rest: number, probability: number): number => {
  const a = u_rectangle * Math.sqrt(3);
  const u = Math.hypot(u_rectangle, u_rest);
  let low = 0;
  let high = 20 * u;
  for (let n = 0; n < 200 && high - low > 1e-15 * u; n += 1) {
    const middle = 0.5 * (low + high);
    if (centralProbability(middle, a, u_rest) < probability) low = middle;
    else high = middle;
  }
  return (0.5 * (low + high)) / u;
};

/**
 * k of two rectangles a1 >= a2, a trapezoid: [1 - sqrt((1-p)(1-b^2))]/sqrt((1+b^2)/6) with b = (a1-a2)/(a1+a2), where
 * p/(2-p) >= b, and p/sqrt of the same below. Derived from the trapezoidal density of JCGM 100:2008, 4.3.9.
 */
export const coverageOfTwoRectangles = (half_width_1: number, half_width_2: number, probability: number): number => {
  const beta = Math.abs(half_width_1 - half_width_2) / (half_width_1 + half_width_2);
  const u = Math.sqrt((1 + beta * beta) / 6);
  if (probability / (2 - probability) >= beta) return (1 - Math.sqrt((1 - probability) * (1 - beta * beta))) / u;
  return (probability * (1 + beta)) / 2 / u;
};
