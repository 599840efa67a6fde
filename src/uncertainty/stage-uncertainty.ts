import type { PointError, StageAnalysis } from "../analysis/analysis.ts";
import { mean, standardDeviation } from "../analysis/statistics.ts";
import type { CapturedPoint } from "../readings/run-record.ts";
import { type Milliamp, mA } from "../vocabulary/quantities.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { idealOutput, type Transfer } from "../vocabulary/signal-range.ts";
import { atReading, type BenchFacts, type PointFacts } from "./bench-facts.ts";
import { type CombinedUncertainty, combineContributions } from "./combine-contributions.ts";
import { scatterOfMean } from "./contributions/scatter.ts";
import { type CoverageChoice, DEFAULT_COVERAGE } from "./coverage-factor.ts";
import { type PointUncertainty, pointUncertainty } from "./point-uncertainty.ts";
import type { NotStated, UncertaintyRemark } from "./uncertainty-remark.ts";

/** The figures of a capture that the budget asks for; a captured point of the record has them all. */
export type CaptureFigures = Pick<
  CapturedPoint,
  "ordinal" | "spread_kPa" | "n" | "n_effective" | "u_settling_kPa" | "u_creep_kPa"
>;

export interface StageUncertaintyInput {
  readonly analysis: StageAnalysis;
  readonly captured: readonly CaptureFigures[];
  readonly transfer: Transfer;
  readonly bench: BenchFacts;
  readonly coverage?: CoverageChoice;
  /** Smallest claimable U at an output pressure, kPa; null where nothing is claimed. */
  readonly floor?: (output_kPa: number) => number | null;
  /** `pooled` (unless told): one figure from all points, with many degrees of freedom. `each-point`: its own at each. */
  readonly repeatability?: "pooled" | "each-point";
}

export interface StageUncertainty {
  readonly stage: Stage;
  readonly points: readonly PointUncertainty[];
  /** What is not in U. */
  readonly remarks: readonly UncertaintyRemark[];
}

/**
 * Slope of the ideal output over the doubt of the current. Across that width, and not at a point: at the foot of a
 * square root the slope at the point itself is infinite.
 */
const slopeAt = (transfer: Transfer, current: Milliamp, doubt_mA: number): number => {
  const half = Math.max(doubt_mA, 1e-6);
  return (idealOutput(transfer, mA(current + half)) - idealOutput(transfer, mA(current - half))) / (2 * half);
};

interface BetweenCycles {
  readonly variance: number;
  readonly degrees_of_freedom: number;
}

const placeOf = (p: PointError): string => `${p.nominal_percent} ${p.direction}`;

/** Variance from cycle to cycle at each place that was read more than once, less what scatter within a capture explains. */
const betweenCyclesByPlace = (
  points: readonly PointError[],
  captured: ReadonlyMap<number, CaptureFigures>,
): ReadonlyMap<string, BetweenCycles> => {
  const places = new Map<string, PointError[]>();
  for (const p of points) {
    if (p.clipped === "none") places.set(placeOf(p), [...(places.get(placeOf(p)) ?? []), p]);
  }
  const found = new Map<string, BetweenCycles>();
  for (const [place, at] of places) {
    const s = standardDeviation(at.map((p) => p.error_kPa));
    if (s === null) continue;
    const within = mean(
      at.map((p) => {
        const capture = captured.get(p.ordinal);
        return capture === undefined ? 0 : scatterOfMean(capture) ** 2;
      }),
    );
    found.set(place, { variance: s * s - within, degrees_of_freedom: at.length - 1 });
  }
  return found;
};

/** Weighted by degrees of freedom, before anything below zero is cut off, so that chance is not added up one-sidedly. */
const pool = (parts: readonly BetweenCycles[]): BetweenCycles | null => {
  const degrees_of_freedom = parts.reduce((sum, p) => sum + p.degrees_of_freedom, 0);
  if (degrees_of_freedom === 0) return null;
  const variance = parts.reduce((sum, p) => sum + p.variance * p.degrees_of_freedom, 0) / degrees_of_freedom;
  return { variance, degrees_of_freedom };
};

const betweenFacts = (found: BetweenCycles | null | undefined, pooled: boolean): Pick<PointFacts, "between_cycles"> => {
  if (found === null || found === undefined || found.variance <= 0) return {};
  const { degrees_of_freedom } = found;
  const known_from = pooled
    ? `all points read in more than one cycle, pooled, ${degrees_of_freedom} degrees of freedom (JCGM 100:2008, H.1.3.2)`
    : `the cycles at this point, ${degrees_of_freedom} degrees of freedom (JCGM 100:2008, 4.2)`;
  return {
    between_cycles: { s_kPa: Math.sqrt(found.variance), degrees_of_freedom, averaged_over: 1, known_from },
  };
};

const remarksOf = ({ bench }: StageUncertaintyInput, cycles: boolean): readonly UncertaintyRemark[] => {
  const { gauge, current } = bench;
  const missing: readonly NotStated[] = [
    ...(gauge.drift === undefined ? [{ what: "drift", of: gauge.name } as const] : []),
    ...(current.drift === undefined ? [{ what: "drift", of: current.name } as const] : []),
    ...(gauge.temperature === undefined ? [{ what: "temperature", of: gauge.name } as const] : []),
    ...(bench.gauge_zero_kPa === undefined ? [{ what: "zero", of: gauge.name } as const] : []),
    ...(bench.head === undefined ? [{ what: "height", of: null } as const] : []),
  ];
  return [
    ...(missing.length > 0 ? [{ code: "not-stated", missing } as const] : []),
    ...(cycles ? [] : [{ code: "one-cycle" } as const]),
    ...(current.role === "source" ? [{ code: "no-meter" } as const] : []),
  ];
};

/**
 * Uncertainty of the error at every point of a stage. The error is that of one reading, so that repeatability counts in
 * full; a point whose capture is not at hand is left out and gets no statement later.
 */
export const stageUncertainty = (input: StageUncertaintyInput): StageUncertainty => {
  const { analysis, bench, transfer } = input;
  const captured = new Map(input.captured.map((c) => [c.ordinal, c]));
  const between = betweenCyclesByPlace(analysis.points, captured);
  const pooled = input.repeatability === "each-point" ? null : pool([...between.values()]);
  const points = analysis.points.flatMap((p) => {
    const capture = captured.get(p.ordinal);
    if (capture === undefined) return [];
    const { certificate } = bench.current;
    const doubt_mA = atReading(certificate.U, p.applied_mA) / certificate.k;
    const floor = input.floor?.(p.output_kPa) ?? null;
    const { spread_kPa, n, n_effective, u_settling_kPa } = capture;
    return pointUncertainty({
      bench,
      point: {
        ordinal: p.ordinal,
        output_kPa: p.output_kPa,
        applied_mA: p.applied_mA,
        slope_kPa_per_mA: slopeAt(transfer, mA(p.applied_mA), doubt_mA),
        spread_kPa,
        n,
        n_effective,
        u_settling_kPa,
        ...(capture.u_creep_kPa === undefined ? {} : { u_creep_kPa: capture.u_creep_kPa }),
        ...betweenFacts(pooled ?? between.get(placeOf(p)), pooled !== null),
      },
      ...(input.coverage === undefined ? {} : { coverage: input.coverage }),
      ...(floor === null ? {} : { floor_kPa: floor }),
    });
  });
  return { stage: analysis.stage, points, remarks: remarksOf(input, between.size > 0) };
};

/** Uncertainty of a figure that is a weighted sum of the errors at some points, with their common causes. */
export const figureUncertainty = (
  points: readonly PointUncertainty[],
  weights: ReadonlyMap<number, number>,
  coverage: CoverageChoice = DEFAULT_COVERAGE,
): CombinedUncertainty =>
  combineContributions(
    points.flatMap((p) => {
      const weight = weights.get(p.ordinal) ?? 0;
      return weight === 0 ? [] : [{ weight, contributions: p.contributions }];
    }),
    coverage,
  );
