import type { KnownParts } from "../../config/known-drivers.ts";
import { referencesOf } from "../../config/reference-values.ts";
import { parseDecisionRule } from "../../decision/decision-rule.ts";
import { addMonths } from "../../history/calendar-days.ts";
import { gaugeZeroOf } from "../../readings/gauge-zero.ts";
import type { RunRecord } from "../../readings/run-record.ts";
import { stageOf } from "../../readings/run-record.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import type { Stage } from "../../vocabulary/reading.ts";
import { ok, type Result } from "../../vocabulary/result.ts";
import { dayIn, filesOf } from "../certify.ts";
import { evaluateStage } from "../evaluate-record.ts";
import { historyFact } from "../history-fact.ts";
import type { JobFiles } from "../job-files.ts";
import type { RunSummary } from "./run-summary.ts";

interface StageFinding {
  readonly word: string;
  readonly largest_percent: number;
}

/** What a stage came to; null where it has no result, whatever the reason: the readings are in the record. */
const findingOf = (record: RunRecord, stage: Stage, { bench, unit, laboratory }: JobFiles): StageFinding | null => {
  const found = stageOf(record, stage);
  const rule = parseDecisionRule(record.header.decision_rule);
  if (found === undefined || found.points.length === 0 || !rule.ok) return null;
  const result = evaluateStage(found, {
    bench,
    station: record.header.station,
    unit,
    laboratory,
    rule: rule.value,
    ...gaugeZeroOf(record),
  });
  if (!result.ok) return null;
  const errors = result.value.analysis.points.map((p) => Math.abs(p.error_percent_span));
  return { word: result.value.verdict.word, largest_percent: Math.max(...errors) };
};

const referencesIn = (record: RunRecord, { bench }: JobFiles): RunSummary["references"] => {
  const { pressure, current, supply, temperature, humidity, airPressure } = referencesOf(bench, record.header.station);
  const named = [
    ["gauge", pressure],
    [current?.from ?? "source", current],
    ["supply-gauge", supply],
    ["ambient", temperature],
    ["humidity", humidity],
    ["barometer", airPressure],
  ] as const;
  return named.flatMap(([role, reference]) => {
    const certificate = reference?.measured.certificate;
    if (reference === null || reference === undefined || certificate === undefined) return [];
    const seen = record.instruments.find((i) => i.name === reference.name);
    return [
      {
        role,
        serial_number: seen?.serial_number ?? reference.instrument.serial_number,
        certificate_number: certificate.number,
        due: certificate.due,
      },
    ];
  });
};

/** The row by which a finished run is found, worked out from its record alone. */
export const summariseRun = (record: RunRecord, known: KnownParts): Result<RunSummary, Fault> => {
  const files = filesOf(record, known);
  if (!files.ok) return files;
  const { header, last, ending } = record;
  const { unit, laboratory } = files.value;
  const { identity } = unit;
  const asFound = findingOf(record, "as-found", files.value);
  const asLeft = findingOf(record, "as-left", files.value);
  const counts = asLeft ?? asFound;
  const fact = historyFact(record, known);
  const references = referencesIn(record, files.value);
  const kind = record.examinations.length > 0 ? "examination" : "calibration";
  const next_due =
    kind === "calibration" && counts !== null && ending?.ending === "finished"
      ? addMonths(dayIn(laboratory.time_zone, Date.parse(last.utc)), laboratory.next_due.interval_months)
      : null;
  const words = [
    header.run_id,
    header.operator,
    header.station,
    identity.maker,
    identity.model,
    identity.serial_number,
    identity.tag,
    identity.customer,
    identity.batch,
    counts?.word,
    ...references.flatMap((r) => [r.serial_number, r.certificate_number]),
    ...record.examinations.map((e) => e.title),
  ];
  return ok({
    run: {
      run_id: header.run_id,
      station: header.station,
      kind,
      started_utc: header.utc,
      ended_utc: last.utc,
      ending: ending?.ending ?? "broken-off",
      simulated: record.simulated ? 1 : 0,
      operator: header.operator,
      unit_serial: identity.serial_number,
      unit_tag: identity.tag ?? "",
      unit_model: identity.model,
      unit_maker: identity.maker,
      customer: identity.customer ?? "",
      batch: identity.batch ?? "",
      verdict_found: asFound?.word ?? null,
      verdict_left: asLeft?.word ?? null,
      verdict: counts?.word ?? null,
      largest_error_percent: counts?.largest_percent ?? null,
      next_due,
      software_version: header.software_version,
      search_text: words
        .filter((w) => w !== undefined && w !== "")
        .join(" ")
        .toLowerCase(),
      facts: fact.ok ? JSON.stringify(fact.value) : "{}",
    },
    references,
  });
};
