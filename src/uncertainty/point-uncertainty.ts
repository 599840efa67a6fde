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
}

/** Uncertainty of the error at one point (JCGM 100). */
export interface PointUncertainty {
  readonly ordinal: number;
  readonly contributions: readonly Contribution[];
  readonly u_kPa: number;
  readonly degrees_of_freedom: number;
  readonly k: number;
  readonly coverage: number;
  readonly U_kPa: number;
  /** Set when U was raised to the laboratory's smallest claimable uncertainty. */
  readonly floor_kPa?: number;
}
