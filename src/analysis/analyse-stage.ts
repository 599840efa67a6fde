import type { StagePoint } from "../readings/stage-point.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import type { LiftOff } from "../vocabulary/lift-off.ts";
import { mA } from "../vocabulary/quantities.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import { accuracyFigures } from "./accuracy.ts";
import type { Figure, StageAnalysis } from "./analysis.ts";
import { errorCurves } from "./error-curves.ts";
import { hysteresisFigures } from "./hysteresis.ts";
import { liftOffFigures, withLiftOff } from "./lift-off-figures.ts";
import { linearityFigures } from "./linearity.ts";
import { defaultStops, type OutputStops, pointErrors } from "./point-errors.ts";
import { remarksOn } from "./remarks.ts";
import { DEFAULT_REPEATABILITY, type RepeatabilityMethod, repeatabilityFigures } from "./repeatability.ts";
import { stageRemarkText } from "./stage-remark.ts";
import { zeroSpanFigures } from "./zero-span.ts";

export interface AnalysisOptions {
  readonly stage: Stage;
  /** Which of the competing meanings; the largest range over the cycles when it is left out. */
  readonly repeatability?: RepeatabilityMethod;
  /** The dead band by its own test (`deadBandFigure`), so that hysteresis can be stated alone. */
  readonly dead_band?: Figure;
  /** Where the output cannot go on; see `defaultStops`. */
  readonly stops?: Partial<OutputStops>;
  /** Lift-off of a range that begins at zero pressure. */
  readonly lift_off?: LiftOff;
}

/** Farther apart than this, the name of a point and its current do not belong to the same unit. % of output span. */
const NOMINAL_DISAGREEMENT = 0.1;

/**
 * Everything the readings of one stage say, before uncertainty. Pure; the order of the points does not matter.
 * Refuses: no points, a number that is not finite, two readings with one ordinal, a range without span, a point whose
 * nominal current is another point of this unit.
 */
export const analyseStage = (
  points: readonly StagePoint[],
  transfer: Transfer,
  options: AnalysisOptions,
): Result<StageAnalysis, Fault> => {
  const trouble = refusal(points, transfer);
  if (trouble !== null) return err(trouble);
  const { lift_off } = options;
  const read = pointErrors(points, transfer, { ...defaultStops(transfer), ...options.stops });
  const errors = lift_off === undefined ? read : withLiftOff(read, transfer, lift_off);
  const curves = errorCurves(errors, transfer);
  const keyed_remarks = remarksOn(curves);
  return ok({
    stage: options.stage,
    span_kPa: spanOf(transfer.output),
    points: errors,
    levels: curves.levels,
    figures: [
      ...zeroSpanFigures(curves),
      ...(lift_off === undefined ? [] : liftOffFigures(transfer, lift_off)),
      ...accuracyFigures(curves),
      ...hysteresisFigures(curves, options.dead_band?.value ?? null),
      ...(options.dead_band === undefined ? [] : [options.dead_band]),
      ...linearityFigures(curves),
      ...repeatabilityFigures(curves, options.repeatability ?? DEFAULT_REPEATABILITY),
    ],
    ...(lift_off === undefined ? {} : { lift_off }),
    remarks: keyed_remarks.map(stageRemarkText),
    keyed_remarks,
  });
};

const refusal = (points: readonly StagePoint[], transfer: Transfer): Fault | null => {
  const refuse = (message: string): Fault =>
    fault("refused", "bad-file", message, {
      means: "Nothing was analysed.",
      remedy: "Correct the readings or the unit file.",
    });
  if (points.length === 0) return refuse("There are no readings in this stage.");
  const span = spanOf(transfer.output);
  const inputSpan = transfer.input.upper_mA - transfer.input.lower_mA;
  if (!(span > 0)) return refuse(`The output range has a span of ${span} kPa; it has to be above 0.`);
  if (!(inputSpan > 0)) return refuse(`The input range has a span of ${inputSpan} mA; it has to be above 0.`);
  const ordinals = new Set<number>();
  for (const p of points) {
    const name = `Point ${p.ordinal} (cycle ${p.cycle}, ${p.direction})`;
    for (const field of ["ordinal", "cycle", "nominal_percent", "nominal_mA", "applied_mA", "output_kPa"] as const) {
      if (!Number.isFinite(p[field])) return refuse(`${name} has ${p[field]} for ${field}, which is not a reading.`);
    }
    if (p.supply_kPa !== null && !Number.isFinite(p.supply_kPa)) {
      return refuse(`${name} has ${p.supply_kPa} for supply_kPa, which is not a reading.`);
    }
    if (ordinals.has(p.ordinal)) return refuse(`${name} is there twice.`);
    ordinals.add(p.ordinal);
    const nominal = percentOf(transfer.output, idealOutput(transfer, mA(p.nominal_mA)));
    if (Math.abs(nominal - p.nominal_percent) > NOMINAL_DISAGREEMENT) {
      return refuse(
        `${name} is called ${p.nominal_percent} % of output span, but at ${p.nominal_mA} mA this unit ought to stand at ${Number(nominal.toFixed(3))} %.`,
      );
    }
  }
  return null;
};
