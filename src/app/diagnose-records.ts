import { figure, type StageAnalysis } from "../analysis/analysis.ts";
import { type Diagnosis, diagnose, diagnosisLines } from "../analysis/diagnosis/diagnose.ts";
import type { CurveEvidence, Evidence, SupplyEvidence } from "../analysis/diagnosis/evidence.ts";
import { deadBandAt } from "../analysis/examination/dead-band-test.ts";
import { holdFigures } from "../analysis/examination/hold-figures.ts";
import { leakTest } from "../analysis/examination/leak-test.ts";
import { stepResponse } from "../analysis/examination/step-response.ts";
import { atSupply, droop_kPa, supplyInfluence } from "../analysis/examination/supply-influence.ts";
import { type Trace, tracesOf } from "../analysis/examination/trace.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { toleranceAt, transferOf } from "../config/unit-values.ts";
import { parseDecisionRule } from "../decision/decision-rule.ts";
import { gaugeZeroOf } from "../readings/gauge-zero.ts";
import { type RunRecord, stageOf } from "../readings/run-record.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { percentOf, spanOf } from "../vocabulary/signal-range.ts";
import { filesOf, readRecord } from "./certify.ts";
import { evaluateStage } from "./evaluate-record.ts";

export interface DiagnosedRecords {
  readonly simulated: boolean;
  readonly unit: UnitFile["identity"];
  readonly diagnosis: Diagnosis;
}

const curveOf = (analysis: StageAnalysis, unit: UnitFile): CurveEvidence | null => {
  const levels = analysis.levels.toSorted((a, b) => a.nominal_percent - b.nominal_percent);
  const [first, last] = [levels[0], levels.at(-1)];
  if (first === undefined || last === undefined || first === last) return null;
  const inside = levels.filter((l) => l.nominal_percent >= 40 && l.nominal_percent <= 80);
  const [near, far] = [inside.at(-1), inside[0]];
  const straight =
    near === undefined || far === undefined || near === far
      ? last.mean_percent_span
      : near.mean_percent_span +
        ((near.mean_percent_span - far.mean_percent_span) / (near.nominal_percent - far.nominal_percent)) *
          (last.nominal_percent - near.nominal_percent);
  const value = (id: Parameters<typeof figure>[1]): number => figure(analysis, id)?.value ?? 0;
  const span_percent = last.mean_percent_span - first.mean_percent_span;
  return {
    zero_percent: first.mean_percent_span,
    span_percent,
    bend_percent: value("linearity-independent"),
    hysteresis_percent: Math.abs(value("hysteresis-plus-dead-band")),
    top_short_percent: last.mean_percent_span - straight,
    slope: 1 + span_percent / (last.nominal_percent - first.nominal_percent),
    lower_kPa: unit.output.lower.kPa,
    upper_kPa: unit.output.upper.kPa,
  };
};

const mean = (values: readonly number[]): number | null =>
  values.length === 0 ? null : values.reduce((sum, v) => sum + v, 0) / values.length;

const asFoundOf = (record: RunRecord, known: KnownParts): Result<StageAnalysis | null, Fault> => {
  const stage = stageOf(record, "as-found");
  if (stage === undefined || stage.points.length === 0) return ok(null);
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const rule = parseDecisionRule(record.header.decision_rule);
  if (!rule.ok) return rule;
  const result = evaluateStage(stage, {
    ...files.value,
    station: record.header.station,
    rule: rule.value,
    ...gaugeZeroOf(record),
  });
  return result.ok ? ok(result.value.analysis) : result;
};

/** Every trace of a test, the last run of it. */
const tracesFrom = (records: readonly RunRecord[], test: string): readonly Trace[] => {
  const found = records
    .flatMap((r) => r.examinations)
    .findLast((e) => e.test === test && e.ending?.outcome === "complete");
  return found === undefined ? [] : tracesOf(found);
};

const supplyOf = (records: readonly RunRecord[], unit: UnitFile): SupplyEvidence | null => {
  const output = transferOf(unit).output;
  const traces = tracesFrom(records, "supply");
  const points = records.flatMap((r) => stageOf(r, "as-found")?.points ?? []);
  const at =
    mean(points.flatMap((p) => (p.supply_kPa === null ? [] : [p.supply_kPa]))) ??
    mean(tracesFrom(records, "hold").flatMap((t) => t.supply.map((s) => s.kPa)));
  const readings = traces.flatMap((trace) =>
    trace.name.endsWith("output") ? (atSupply(trace, (p) => percentOf(output, kPa(p))) ?? []) : [],
  );
  const filling = traces.find((t) => t.name === "filling");
  const still = tracesFrom(records, "hold").flatMap((t) => t.supply.filter((s) => s.t_s > 20).map((s) => s.kPa));
  const known = at ?? readings[0]?.supply_kPa ?? null;
  if (known === null) return null;
  return {
    at_kPa: known,
    lower_kPa: unit.supply.lower.kPa,
    upper_kPa: unit.supply.upper.kPa,
    droop_kPa: filling === undefined ? null : droop_kPa(filling),
    swing_kPa: still.length < 20 ? null : (Math.max(...still) - Math.min(...still)) / 2,
    influence_percent_per_10_kPa: supplyInfluence(readings)?.percent_per_10_kPa ?? null,
  };
};

const evidenceOf = (records: readonly RunRecord[], unit: UnitFile, analysis: StageAnalysis | null): Evidence => {
  const output = transferOf(unit).output;
  const span = spanOf(output);
  const toPercent = (pressure: number): number => percentOf(output, kPa(pressure));
  const steps = [
    ...tracesFrom(records, "step-response"),
    ...tracesFrom(records, "line").filter((t) => t.name.startsWith("installed")),
  ];
  const step = (name: string) => {
    const trace = steps.find((t) => t.name.endsWith(name));
    return trace === undefined ? null : stepResponse(trace, span);
  };
  const closed = tracesFrom(records, "leak").find((t) => t.name === "closed");
  const leak = closed === undefined ? null : leakTest(closed);
  const stairs = tracesFrom(records, "dead-band");
  const bands = stairs.map((t) => deadBandAt(t, toPercent)?.dead_band_percent ?? 1.3);
  const off = records
    .flatMap((r) => stageOf(r, "as-found")?.points ?? [])
    .flatMap((p) => (p.measured_mA === null ? [] : [p.measured_mA - p.commanded_mA]))
    .toSorted((a, b) => Math.abs(b) - Math.abs(a));
  const tolerance = Math.min(toleranceAt(unit, output.lower_kPa), toleranceAt(unit, output.upper_kPa));
  return {
    tolerance_percent: (100 * tolerance) / span,
    curve: analysis === null ? null : curveOf(analysis, unit),
    step_up: step("step up"),
    step_down: step("step down"),
    small_step: step("small step"),
    leak_percent_per_min: leak === null ? null : (100 * leak.loss_kPa_per_min) / span,
    dead_band_percent: bands.length === 0 ? null : Math.max(...bands),
    holds: tracesFrom(records, "hold").flatMap((t) => holdFigures(t, toPercent) ?? []),
    supply: supplyOf(records, unit),
    current_off_mA: off[0] ?? null,
  };
};

/** Opinions from the records of one unit: a calibration, tests, or both; later ones count where they say the same. */
export const diagnoseRecords = (texts: readonly string[], known: KnownParts): Result<DiagnosedRecords, Fault> => {
  const records: RunRecord[] = [];
  for (const text of texts) {
    const record = readRecord(text);
    if (!record.ok) return record;
    records.push(record.value);
  }
  const last = records.at(-1);
  if (last === undefined) return err(fault("refused", "bad-option", "No record was named."));
  const files = filesOf(last, known);
  if (!files.ok) return files;
  const { unit } = files.value;
  for (const record of records) {
    const own = filesOf(record, known);
    if (!own.ok) return own;
    if (own.value.unit.identity.serial_number === unit.identity.serial_number) continue;
    return err(
      fault(
        "refused",
        "bad-option",
        `The records are of ${own.value.unit.identity.serial_number} and of ${unit.identity.serial_number}.`,
        { remedy: "Name records of one unit." },
      ),
    );
  }
  const calibrated = records.findLast((r) => (stageOf(r, "as-found")?.points.length ?? 0) > 0);
  const analysis = calibrated === undefined ? ok(null) : asFoundOf(calibrated, known);
  if (!analysis.ok) return analysis;
  return ok({
    simulated: records.some((r) => r.simulated),
    unit: unit.identity,
    diagnosis: diagnose(evidenceOf(records, unit, analysis.value)),
  });
};

/** The opinions as lines for a person. */
export const diagnosisText = ({ simulated, unit, diagnosis }: DiagnosedRecords): readonly string[] => [
  `${simulated ? "SIMULATED  " : ""}${unit.maker} ${unit.model} ${unit.serial_number}`,
  ...diagnosisLines(diagnosis),
];
