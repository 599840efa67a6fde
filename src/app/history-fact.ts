import { figure } from "../analysis/analysis.ts";
import type { StageResult } from "../certificate/certificate-input.ts";
import { referencesInUse } from "../certificate/references-in-use.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import type { UnitFile } from "../config/unit-file.schema.ts";
import { parseDecisionRule } from "../decision/decision-rule.ts";
import type { CalibrationFact, FactPoint, FactStage } from "../history/calibration-fact.ts";
import { gaugeZeroOf } from "../readings/gauge-zero.ts";
import { type RunRecord, stageOf } from "../readings/run-record.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { dayIn, filesOf } from "./certify.ts";
import { type Basis, evaluateStage } from "./evaluate-record.ts";

/** Points of a stage, the cycles of each taken together: mean error, largest uncertainty, smallest limit. */
const factPoints = ({ analysis, uncertainties, verdict }: StageResult): readonly FactPoint[] => {
  const percent = (kPa: number): number => (100 * kPa) / analysis.span_kPa;
  const groups = new Map<string, FactPoint[]>();
  for (const point of analysis.points) {
    const uncertainty = uncertainties.find((u) => u.ordinal === point.ordinal);
    const judged = verdict.points.find((p) => p.ordinal === point.ordinal);
    if (judged === undefined) continue;
    const key = `${point.nominal_percent} ${point.direction}`;
    const group = groups.get(key) ?? [];
    group.push({
      nominal_percent: point.nominal_percent,
      direction: point.direction,
      error_percent_span: point.error_percent_span,
      U_percent_span: uncertainty === undefined ? null : percent(uncertainty.U_kPa),
      k: uncertainty?.k ?? null,
      limit_percent_span: percent(judged.limit_kPa),
      clipped: point.clipped !== "none",
    });
    groups.set(key, group);
  }
  return [...groups.values()].flatMap((group) => {
    const [first] = group;
    if (first === undefined) return [];
    const widest = group.toSorted((a, b) => (b.U_percent_span ?? 0) - (a.U_percent_span ?? 0))[0] ?? first;
    return [
      {
        ...widest,
        error_percent_span: group.reduce((s, p) => s + p.error_percent_span, 0) / group.length,
        limit_percent_span: Math.min(...group.map((p) => p.limit_percent_span)),
        clipped: group.some((p) => p.clipped),
      },
    ];
  });
};

const factStage = (result: StageResult): FactStage => ({
  points: factPoints(result),
  zero_error_percent_span: figure(result.analysis, "zero-error")?.value ?? null,
  span_error_percent_span: figure(result.analysis, "span-error")?.value ?? null,
  verdict: result.verdict.word,
});

const stageFact = (record: RunRecord, name: Stage, basis: Basis): Result<FactStage | null, Fault> => {
  const stage = stageOf(record, name);
  if (stage === undefined || stage.points.length === 0) return ok(null);
  const result = evaluateStage(stage, { ...basis, ...gaugeZeroOf(record) });
  return result.ok ? ok(factStage(result.value)) : result;
};

const rangeText = ({ input, output, action, characteristic }: UnitFile): string => {
  const number = (value: number): string => String(Number(value.toFixed(3)));
  return `${number(input.lower.mA)} to ${number(input.upper.mA)} mA, ${number(output.lower.kPa)} to ${number(output.upper.kPa)} kPa ${output.mode}, ${action}, ${characteristic}`;
};

/** What a record says for the history of its unit, worked out from the readings with the files that it holds. */
export const historyFact = (record: RunRecord, known: KnownParts): Result<CalibrationFact, Fault> => {
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const rule = parseDecisionRule(record.header.decision_rule);
  if (!rule.ok) return rule;
  const { bench, unit, laboratory } = files.value;
  const basis = { bench, station: record.header.station, unit, laboratory, rule: rule.value };
  const as_found = stageFact(record, "as-found", basis);
  if (!as_found.ok) return as_found;
  const as_left = stageFact(record, "as-left", basis);
  if (!as_left.ok) return as_left;
  const { maker, model, serial_number, tag, customer } = unit.identity;
  return ok({
    run_id: record.header.run_id,
    date: dayIn(laboratory.time_zone, Date.parse(record.last.utc)),
    unit: { maker, model, serial_number, tag: tag ?? null, customer: customer ?? null },
    range: rangeText(unit),
    simulated: record.simulated,
    finished: record.ending?.ending === "finished",
    as_found: as_found.value,
    as_left: as_left.value,
    adjusted: record.adjustments.some((a) => a.turns.length > 0),
    references: referencesInUse(bench, record).map((r) => ({
      name: r.description,
      serial_number: r.serial_number,
      certificate: r.certificate.number,
      due: r.certificate.due,
    })),
    interval_months: laboratory.next_due.interval_months,
  });
};
