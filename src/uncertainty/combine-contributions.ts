import {
  type CoverageChoice,
  type CoverageFactor,
  coverageByT,
  coverageOfRectangleAndNormal,
  percentOfCoverage,
} from "./coverage-factor.ts";
import type { Contribution } from "./point-uncertainty.ts";

/** Contributions of one quantity, with its weight in the sum: +1 and -1 for a span error, 1/2 and 1/2 for a mean. */
export interface WeightedContributions {
  readonly weight: number;
  readonly contributions: readonly Contribution[];
}

export interface CombinedUncertainty {
  readonly u_kPa: number;
  readonly degrees_of_freedom: number;
  readonly k: number;
  readonly coverage: number;
  readonly U_kPa: number;
  readonly k_text: string;
}

interface Term {
  /** weight * sensitivity * u_input, with its sign. */
  readonly c: number;
  readonly of: Contribution;
}

/** Correlation of two terms of one cause; where it is not known, the value from 0 to 1 that makes the sum larger. */
const correlation = (a: Term, b: Term): number => {
  const [r, s] = [a.of.common?.correlation ?? 0, b.of.common?.correlation ?? 0];
  if (r === "unknown" || s === "unknown") return a.c * b.c > 0 ? 1 : 0;
  return Math.min(r, s);
};

/** Terms of one cause, as one. */
interface Group {
  readonly variance: number;
  readonly degrees_of_freedom: number;
  readonly terms: readonly Term[];
}

const groupOf = (terms: readonly Term[]): Group => {
  let variance = 0;
  terms.forEach((a, i) => {
    variance += a.c * a.c;
    for (const b of terms.slice(i + 1)) variance += 2 * correlation(a, b) * a.c * b.c;
  });
  return {
    variance: Math.max(0, variance),
    degrees_of_freedom: Math.min(...terms.map((t) => t.of.degrees_of_freedom)),
    terms,
  };
};

const groupsOf = (parts: readonly WeightedContributions[]): readonly Group[] => {
  const byCause = new Map<string, Term[]>();
  let alone = 0;
  for (const { weight, contributions } of parts) {
    for (const of of contributions) {
      const cause = of.common?.cause ?? `alone ${alone++}`;
      const terms = byCause.get(cause) ?? [];
      terms.push({ c: weight * of.sensitivity * of.u_input, of });
      byCause.set(cause, terms);
    }
  }
  return [...byCause.values()].map(groupOf);
};

/** Welch and Satterthwaite (JCGM 100:2008, G.4) over independent variances; Infinity when none has few. */
export const effectiveDegreesOfFreedom = (
  parts: readonly { readonly variance: number; readonly degrees_of_freedom: number }[],
): number => {
  const total = parts.reduce((sum, p) => sum + p.variance, 0);
  const weighted = parts.reduce((sum, p) => sum + p.variance ** 2 / p.degrees_of_freedom, 0);
  return weighted === 0 ? Number.POSITIVE_INFINITY : total ** 2 / weighted;
};

/** The one group that is a lone rectangle and larger than all the rest together, if there is one. */
const dominantRectangle = (groups: readonly Group[], variance: number): Group | undefined =>
  groups.find(
    (g) => g.terms.length === 1 && g.terms[0]?.of.distribution === "rectangular" && g.variance > variance / 2,
  );

const factorOf = (groups: readonly Group[], variance: number, dof: number, choice: CoverageChoice): CoverageFactor => {
  const dominant = choice.method === "convolution" ? dominantRectangle(groups, variance) : undefined;
  if (dominant === undefined) return coverageByT(dof, choice);
  const rest = Math.sqrt(Math.max(0, variance - dominant.variance));
  const k = coverageOfRectangleAndNormal(Math.sqrt(dominant.variance), rest, choice.probability);
  return {
    k,
    text: `k = ${k.toFixed(2)} from the rectangle of "${dominant.terms[0]?.of.name}" convolved with a normal distribution for the rest, coverage about ${percentOfCoverage(choice.probability)} %`,
  };
};

/**
 * Combined and expanded uncertainty of a weighted sum of errors (JCGM 100:2008, 5.2.2): contributions of one cause with
 * their correlation, all others in quadrature. Degrees of freedom: terms of one cause count as one term, with the
 * fewest degrees of freedom among them, because Welch and Satterthwaite's formula asks for independent terms.
 */
export const combineContributions = (
  parts: readonly WeightedContributions[],
  choice: CoverageChoice,
): CombinedUncertainty => {
  const groups = groupsOf(parts);
  const variance = groups.reduce((sum, g) => sum + g.variance, 0);
  const degrees_of_freedom = effectiveDegreesOfFreedom(groups);
  const { k, text } = factorOf(groups, variance, degrees_of_freedom, choice);
  const u_kPa = Math.sqrt(variance);
  return { u_kPa, degrees_of_freedom, k, coverage: choice.probability, U_kPa: k * u_kPa, k_text: text };
};
