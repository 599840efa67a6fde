import type { BenchFacts, PointFacts } from "./bench-facts.ts";
import { combineContributions } from "./combine-contributions.ts";
import { contributions } from "./contributions/index.ts";
import { type CoverageChoice, DEFAULT_COVERAGE } from "./coverage-factor.ts";

/** One labelled contribution; its figures say where it came from. */
export interface Contribution {
  readonly id: string;
  readonly name: string;
  readonly evaluation: "A" | "B";
  readonly distribution: "normal" | "rectangular" | "triangular" | "arcsine" | "t";
  /** Half-width, standard deviation or U as it was given, with its unit in words. */
  readonly given: string;
  /** Standard uncertainty of the input in its own unit, and that unit. */
  readonly u_input: number;
  readonly unit: string;
  /** d(error)/d(input), kPa per that unit. */
  readonly sensitivity: number;
  /** |sensitivity| * u_input. */
  readonly u_kPa: number;
  readonly degrees_of_freedom: number;
  readonly source: string;
  /**
   * Contributions of one cause go up and down together, within a point and from point to point: the gauge is the same
   * at both ends of the span. `unknown` is somewhere from 0 to 1: it is taken on the side that makes the sum larger.
   */
  readonly common?: { readonly cause: string; readonly correlation: number | "unknown" };
}

/** Uncertainty of the error at one point (JCGM 100). */
export interface PointUncertainty {
  readonly ordinal: number;
  readonly contributions: readonly Contribution[];
  readonly u_kPa: number;
  /** Effective, by Welch and Satterthwaite; Infinity when no contribution has few. */
  readonly degrees_of_freedom: number;
  readonly k: number;
  readonly coverage: number;
  readonly U_kPa: number;
  /** How k was found, in words for the certificate. */
  readonly k_text: string;
  /** Set when U was raised to the laboratory's smallest claimable uncertainty. */
  readonly floor_kPa?: number;
}

export interface PointUncertaintyInput {
  readonly bench: BenchFacts;
  readonly point: PointFacts;
  /** Contributions worked out elsewhere, such as reproducibility after re-clamping. */
  readonly more?: readonly Contribution[];
  readonly coverage?: CoverageChoice;
  /** Smallest expanded uncertainty that may be claimed at this pressure (CMC); a smaller U is raised to it. */
  readonly floor_kPa?: number;
}

/** The budget of one point: every contribution that applies, combined, with its coverage factor. */
export const pointUncertainty = (input: PointUncertaintyInput): PointUncertainty => {
  const leaves = contributions.flatMap((leaf) => leaf(input.bench, input.point) ?? []);
  const all = [...leaves, ...(input.more ?? [])];
  const combined = combineContributions([{ weight: 1, contributions: all }], input.coverage ?? DEFAULT_COVERAGE);
  const { floor_kPa } = input;
  const raised = floor_kPa !== undefined && combined.U_kPa < floor_kPa;
  return {
    ordinal: input.point.ordinal,
    contributions: all,
    ...combined,
    ...(raised ? { U_kPa: floor_kPa, floor_kPa } : {}),
  };
};
