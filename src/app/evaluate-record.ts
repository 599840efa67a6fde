import { analyseStage } from "../analysis/analyse-stage.ts";
import type { StageResult } from "../certificate/certificate-input.ts";
import type { BenchFile } from "../config/bench-file.schema.ts";
import type { LaboratoryFile } from "../config/laboratory-file.schema.ts";
import { smallestUAt } from "../config/laboratory-file.ts";
import { correctedCurrent, correctedPressure, referencesOf } from "../config/reference-values.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { toleranceAt, transferOf } from "../config/unit-values.ts";
import { decideStage } from "../decision/decide-stage.ts";
import type { DecisionRule } from "../decision/verdict.ts";
import { nominalText } from "../decision/verdict-reason.ts";
import type { GaugeZero } from "../readings/gauge-zero.ts";
import type { CapturedPoint, StageRecord } from "../readings/run-record.ts";
import { stagePoints } from "../readings/stage-point.ts";
import { stageUncertainty } from "../uncertainty/stage-uncertainty.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import type { LiftOff } from "../vocabulary/lift-off.ts";
import { kPa, mA } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, type Transfer } from "../vocabulary/signal-range.ts";
import { benchFacts } from "./bench-facts.ts";

/** What a stage is worked out with: the files as they stood when the run began, and the rule agreed then. */
export interface Basis {
  readonly bench: BenchFile;
  readonly station: string;
  readonly unit: UnitFile;
  readonly laboratory: LaboratoryFile;
  readonly rule: DecisionRule;
  /** Vented readings of the gauge before and after the run, where both were taken. */
  readonly gauge_zero?: GaugeZero;
}

/** The record keeps what the instruments indicated; the corrections of their certificates are applied here, once. */
const corrected = (points: readonly CapturedPoint[], basis: Basis): readonly CapturedPoint[] => {
  const { pressure, current } = referencesOf(basis.bench, basis.station);
  return points.map((point) => {
    const meter = current?.from === "current-meter" ? current.measured : null;
    const source = current?.from === "source" ? current.measured : null;
    return {
      ...point,
      output_kPa: pressure === null ? point.output_kPa : correctedPressure(pressure.measured, kPa(point.output_kPa)),
      measured_mA:
        meter === null || point.measured_mA === null
          ? point.measured_mA
          : correctedCurrent(meter, mA(point.measured_mA)),
      commanded_mA: source === null ? point.commanded_mA : correctedCurrent(source, mA(point.commanded_mA)),
    };
  });
};

/** Lift-off of a stage at the current that really flowed, by the certificate of whatever tells the current. */
const liftOffOf = (stage: StageRecord, transfer: Transfer, basis: Basis): LiftOff | null => {
  const found = stage.lift_off ?? null;
  if (found === null) return null;
  const { current } = referencesOf(basis.bench, basis.station);
  const told_mA = current?.from === "current-meter" ? (found.measured_mA ?? found.commanded_mA) : found.commanded_mA;
  const applied_mA = current === null ? told_mA : correctedCurrent(current.measured, mA(told_mA));
  const input_percent = percentOf(transfer.output, idealOutput(transfer, mA(applied_mA)));
  return { input_percent, u_percent: found.u_percent };
};

/** Readings of one stage to errors, uncertainties and verdict. Pure; everything unrounded. */
export const evaluateStage = (stage: StageRecord, basis: Basis): Result<StageResult, Fault> => {
  const transfer = transferOf(basis.unit);
  const facts = benchFacts(basis.bench, basis.station, {
    highest_kPa: transfer.output.upper_kPa,
    ...(basis.gauge_zero === undefined ? {} : { gauge_zero: basis.gauge_zero }),
    ...(basis.unit.output_step === undefined ? {} : { step_kPa: basis.unit.output_step.kPa }),
  });
  if (!facts.ok) return facts;
  const points = corrected(stage.points, basis);
  if (points.length === 0) {
    return err(
      fault("unit", "not-settled", `No point of the ${stage.stage} stage gave a reading.`, {
        means: "There is nothing to judge.",
      }),
    );
  }
  const lift_off = liftOffOf(stage, transfer, basis);
  const analysis = analyseStage(stagePoints(points), transfer, {
    stage: stage.stage,
    ...(lift_off === null ? {} : { lift_off }),
  });
  if (!analysis.ok) return analysis;
  const { points: uncertainties, remarks: uncertainty_remarks } = stageUncertainty({
    analysis: analysis.value,
    captured: points,
    transfer,
    bench: facts.value,
    floor: (output_kPa) => smallestUAt(basis.laboratory, kPa(output_kPa), transfer.output.mode),
  });
  const restless = new Set(stage.unsettled.map((p) => p.ordinal));
  const gaps = stage.missing.map(
    (p) =>
      `point ${p.ordinal} (${nominalText(p.nominal_percent)} % ${p.direction}) ${restless.has(p.ordinal) ? "never stood still" : "was not taken"}`,
  );
  const verdict = decideStage(
    analysis.value,
    uncertainties,
    (ideal_kPa) => toleranceAt(basis.unit, kPa(ideal_kPa)),
    basis.rule,
    gaps,
  );
  return ok({ analysis: analysis.value, uncertainties, uncertainty_remarks, verdict });
};
