import { figure, type PointError, type StageAnalysis } from "../analysis/analysis.ts";
import type { RangeEnd } from "../vocabulary/adjustment.ts";
import type { PressureUnit } from "../vocabulary/pressure-units.ts";
import { type Kilopascal, kPa } from "../vocabulary/quantities.ts";
import type { AdjustmentAims } from "./aims.ts";
import { asItStands, type Compromise, compromiseOver, type ErrorFound, type ScrewReach } from "./best-compromise.ts";
import { type BranchError, errorsBetween } from "./curve-between.ts";
import type { InterplayOfScrews } from "./interplay.ts";

export interface OutlookSettings {
  /** Where each screw is turned, % of span, and the ideal output there. */
  readonly at_percent: Readonly<Record<RangeEnd, number>>;
  readonly ideal_kPa: Readonly<Record<RangeEnd, Kilopascal>>;
  /** Greatest error allowed at an ideal output. */
  readonly limitAt: (ideal_kPa: number) => number;
  /** Lowest output that can be seen; points there hide their error and are left out. */
  readonly floor_kPa?: Kilopascal;
  readonly unit?: PressureUnit;
  readonly interplay?: Partial<InterplayOfScrews>;
  readonly reach?: ScrewReach;
  /** What the gauge shows at a true output: its certificate's corrections backwards. Targets are what it shows. */
  readonly indicated?: (true_kPa: Kilopascal) => Kilopascal;
}

/** What adjusting can do for a unit, worked out from as found before any screw is turned. */
export interface AdjustmentOutlook {
  readonly found: Compromise;
  readonly best: Compromise;
  /** The best is inside the tolerance. */
  readonly can_pass: boolean;
  readonly aims: AdjustmentAims;
  /** The errors behind it: where they were read, and where they are drawn between. */
  readonly errors: { readonly read: readonly ErrorFound[]; readonly between: readonly ErrorFound[] };
  /** `best attainable 0.31 % of span, tolerance 0.50 %: ...` */
  readonly words: string;
}

/** The hand is asked to come this near, in shares of the room between the best and the tolerance. */
const ROOM_SHARE = 0.5;
const LEAST_AIM_SHARE = 0.05;
const USUAL_AIM_SHARE = 0.25;

/** How near the hand is asked to come, as a share of the tolerance, when this is the best there is. */
export const aimShare = ({ left_share }: Compromise, usual = USUAL_AIM_SHARE): number =>
  Math.max(LEAST_AIM_SHARE, Math.min(usual, ROOM_SHARE * Math.max(0, 1 - left_share)));

/** What was read at an end on the way on which it is read while adjusting: the high end rising, the low end falling. */
const foundAt = (points: readonly PointError[], end: RangeEnd, at_percent: number): PointError | undefined => {
  const there = points.filter((p) => p.nominal_percent === at_percent && p.clipped === "none");
  const way = end === "upper" ? "rising" : "falling";
  return there.findLast((p) => p.direction === way) ?? there.at(-1);
};

/**
 * A range that begins at zero pressure ought to lift off where it begins: below, its output flows when none is wanted,
 * above, the first part of the input does nothing. Errors there count as if this share of the tolerance were allowed.
 */
const ZERO_STANDS_WITHIN = 0.15;
/** The hand is asked to come nearer, so that lift-off ends within a quarter of the tolerance of where the range begins. */
const LIFT_OFF_AIM_SHARE = 0.2;

const whereZeroStands = (error_kPa: number, limit_kPa: number): ErrorFound => ({
  at_percent: 0,
  error_kPa,
  limit_kPa: ZERO_STANDS_WITHIN * limit_kPa,
});

const percent = (value: number): string => `${value.toFixed(2)} %`;

const causes = (analysis: StageAnalysis): string => {
  const parts = [
    ["hysteresis", figure(analysis, "hysteresis-plus-dead-band")],
    ["bend of the curve", figure(analysis, "linearity-independent")],
  ] as const;
  const said = parts.flatMap(([name, f]) => (f === undefined ? [] : [`${name} ${percent(Math.abs(f.value))}`]));
  return said.length === 0 ? "" : ` (${said.join(", ")})`;
};

/**
 * Targets for both screws that make the greatest error over the whole range as small as it can be, and what is left
 * then. Errors are those of as found, both directions. null where as found has fewer than two readings to go by.
 */
export const adjustmentOutlook = (analysis: StageAnalysis, settings: OutlookSettings): AdjustmentOutlook | null => {
  const { at_percent, ideal_kPa, limitAt, floor_kPa, reach, indicated = (true_kPa) => true_kPa } = settings;
  const seen = analysis.points.filter((p) => p.clipped === "none");
  const points = seen.map(
    (p): BranchError => ({
      at_percent: p.nominal_percent,
      direction: p.direction,
      error_kPa: p.error_kPa,
      limit_kPa: limitAt(p.ideal_kPa),
    }),
  );
  if (new Set(points.map((p) => p.at_percent)).size < 2) return null;
  const found = asItStands(points);
  const span = analysis.span_kPa;
  const idealAt = (place: number): number =>
    ideal_kPa.lower +
    ((place - at_percent.lower) / (at_percent.upper - at_percent.lower)) * (ideal_kPa.upper - ideal_kPa.lower);
  const between = errorsBetween(points, (place) => limitAt(idealAt(place)));
  // The continued output is exact in what the hand sets: lift-off itself, at the current where the range begins.
  const lifted_kPa = analysis.lift_off === undefined ? null : (-analysis.lift_off.input_percent / 100) * span;
  const stands = lifted_kPa === null ? [] : [whereZeroStands(lifted_kPa - ideal_kPa.lower, limitAt(ideal_kPa.lower))];
  const drawn = [...between, ...stands];
  const best = compromiseOver(points, drawn, reach);
  const { at_0_kPa, at_100_kPa } = best.shift;
  const wanted = (end: RangeEnd): Kilopascal => {
    const shift = at_0_kPa + (at_percent[end] / 100) * (at_100_kPa - at_0_kPa);
    // Lift-off is an input: the gauge takes no part in it.
    if (end === "lower" && lifted_kPa !== null) return kPa(lifted_kPa + shift);
    const there = foundAt(seen, end, at_percent[end]);
    if (there !== undefined) return indicated(kPa(there.output_at_nominal_kPa + shift));
    // No reading at this very place: the straight line through the errors says what the end shows.
    return indicated(kPa(ideal_kPa[end] + lineAt(points, at_percent[end]) + shift));
  };
  const tolerance = Math.min(limitAt(ideal_kPa.lower), limitAt(ideal_kPa.upper));
  const usual = lifted_kPa === null ? USUAL_AIM_SHARE : LIFT_OFF_AIM_SHARE;
  const share = aimShare(best, usual);
  const can_pass = best.left_share <= 1;
  const limit = best.left_share === 0 ? tolerance : best.left_kPa / best.left_share;
  const words = [
    `best attainable ${percent((100 * best.left_kPa) / span)} of span, tolerance ${percent((100 * limit) / span)}`,
    `now ${percent((100 * found.left_kPa) / span)}`,
    `what is left is the part no screw removes${causes(analysis)}`,
  ].join("; ");
  return {
    found,
    best,
    can_pass,
    words,
    errors: { read: points, between: drawn },
    aims: {
      wanted_kPa: { lower: wanted("lower"), upper: wanted("upper") },
      tolerance_kPa: kPa(tolerance),
      share,
      ...(floor_kPa === undefined ? {} : { floor_kPa }),
      ...(settings.unit === undefined ? {} : { unit: settings.unit }),
      ...(settings.interplay === undefined ? {} : { interplay: settings.interplay }),
    },
  };
};

/** Least-squares line through the errors, read off at a place. */
const lineAt = (points: readonly ErrorFound[], at_percent: number): number => {
  const n = points.length;
  const meanX = points.reduce((sum, p) => sum + p.at_percent, 0) / n;
  const meanY = points.reduce((sum, p) => sum + p.error_kPa, 0) / n;
  const sxx = points.reduce((sum, p) => sum + (p.at_percent - meanX) ** 2, 0);
  const sxy = points.reduce((sum, p) => sum + (p.at_percent - meanX) * (p.error_kPa - meanY), 0);
  return meanY + (sxx === 0 ? 0 : (sxy / sxx) * (at_percent - meanX));
};
