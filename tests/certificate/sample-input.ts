import { analyseStage } from "../../src/analysis/analyse-stage.ts";
import type { CertificateInput, ReferenceInUse, StageResult } from "../../src/certificate/certificate-input.ts";
import { type LaboratoryFile, laboratoryFileSchema } from "../../src/config/laboratory-file.schema.ts";
import { type UnitFile, unitFileSchema } from "../../src/config/unit-file.schema.ts";
import { toleranceAt, transferOf } from "../../src/config/unit-values.ts";
import { decideStage } from "../../src/decision/decide-stage.ts";
import type { DecisionRule } from "../../src/decision/verdict.ts";
import { foldRun } from "../../src/readings/fold-run.ts";
import type { PointRecord, RecordedEvent, RunEvent } from "../../src/readings/run-event.ts";
import { type RunRecord, stageOf } from "../../src/readings/run-record.ts";
import { stagePoints } from "../../src/readings/stage-point.ts";
import type { Contribution, PointUncertainty } from "../../src/uncertainty/point-uncertainty.ts";
import { kPa, mA, percentOfSpan } from "../../src/vocabulary/quantities.ts";
import type { Stage } from "../../src/vocabulary/reading.ts";
import { idealOutput, inputFor, type Transfer } from "../../src/vocabulary/signal-range.ts";

/**
 * An invented calibration in the valve workshop of a brewery. The outputs follow fixed formulas, so that every call
 * gives the same record. Events go through the same fold, analysis and decision as those of a real run.
 */
export interface SampleOptions {
  readonly simulated?: boolean;
  readonly language?: "en" | "de";
  /** Pressures of the unit file. */
  readonly unit?: "psi" | "kPa";
  readonly rule?: DecisionRule;
  readonly intervals?: number;
  readonly cycles?: number;
  /** Which stages are read, and whether a screw is turned between them. */
  readonly story?: "adjusted" | "not-adjusted" | "no-as-found" | "no-as-left";
  readonly troubles?: number;
  /** Ordinals that never stood still as found. */
  readonly unsettled?: readonly number[];
  readonly longNames?: boolean;
  readonly authorised?: boolean;
  /** Standard uncertainty of the error, kPa. */
  readonly u_kPa?: number;
  readonly clock?: "wall" | "accelerated" | "virtual";
  readonly meter?: boolean;
}

const LONG =
  "Gesellschaft für die Instandhaltung, Kalibrierung und Wiederaufarbeitung von Stell- und Regelgeräten der vereinigten Brauereien & Mälzereien am oberen Mühlbach <Werk II>";

const sampleUnit = (options: SampleOptions): UnitFile => {
  const psi = options.unit !== "kPa";
  return unitFileSchema.parse({
    format: "stillpoint-unit 1",
    identity: {
      maker: options.longNames ? `${LONG} Apparatebau` : "Hopwell Instruments",
      model: options.longNames ? `HC-15-${"x".repeat(90)}` : "HC-15",
      serial_number: "HC15-20431",
      tag: "PV-114",
      customer: options.longNames ? LONG : "Three Kettles Brewery, fermenting cellar",
      customer_contact: "Cellar office, 12 Cooper's Lane, Millbridge",
      received: "2031-03-03",
      condition: "clean, cover screws complete, no damage seen",
    },
    input: { lower: "4 mA", upper: "20 mA" },
    output: psi ? { lower: "3 psi", upper: "15 psi" } : { lower: "20 kPa", upper: "100 kPa" },
    tolerance: "0.5 %span",
    tolerance_from: "maker's data sheet",
    supply: psi
      ? { nominal: "20 psi", lower: "18 psi", upper: "24 psi" }
      : { nominal: "140 kPa", lower: "130 kPa", upper: "160 kPa" },
    rated_maximum: "200 kPa",
  });
};

const sampleLaboratory = (options: SampleOptions): LaboratoryFile =>
  laboratoryFileSchema.parse({
    format: "stillpoint-laboratory 1",
    name: options.longNames ? LONG : "Valve Workshop, Three Kettles Brewery",
    address: ["12 Cooper's Lane", "Millbridge"],
    country: "BE",
    contact: "valve.workshop@three-kettles.example",
    time_zone: "Europe/Brussels",
    method: { id: "VW-07", revision: "3", title: "Calibration of current-to-pressure converters" },
    people: [
      { name: "A. Technician", roles: ["measures"] },
      { name: "B. Reviewer", roles: ["measures", "reviews"] },
      { name: "C. Head", roles: ["reviews", "authorises"] },
    ],
  });

const REFERENCES: readonly ReferenceInUse[] = [
  {
    role: "gauge",
    description: "Larkfield Metrology DG-700",
    serial_number: "DG7-0092",
    certificate: {
      number: "P-31-0418",
      laboratory: "Estuary Pressure Laboratory",
      date: "2030-11-12",
      due: "2031-11-12",
      U: "0.04 kPa",
      k: 2,
    },
  },
  {
    role: "current-meter",
    description: "Larkfield Metrology BM-3",
    serial_number: "BM3-1177",
    certificate: {
      number: "E-30-2250",
      laboratory: "Estuary Electrical Laboratory",
      date: "2030-09-02",
      due: "2031-09-02",
      U: "0.001 mA",
      k: 2,
    },
  },
  {
    role: "ambient",
    description: "Larkfield Metrology BM-3",
    serial_number: "BM3-1177",
    certificate: {
      number: "T-30-0871",
      laboratory: "Estuary Electrical Laboratory",
      date: "2030-09-03",
      due: "2031-09-03",
      U: "0.2 K",
      k: 2,
    },
  },
];

/** Error of the invented unit, % of span: before, with zero, span, bow and a loop; afterwards only the bow and the loop. */
const errorOf = (stage: Stage, percent: number, falling: boolean, seed: number): number => {
  const x = percent / 100;
  const shape = 0.12 * Math.sin(Math.PI * x) + (falling ? 0.11 * Math.sin(Math.PI * x) + 0.01 : 0);
  const scatter = 0.006 * Math.sin(12.9898 * seed);
  return (stage === "as-found" ? 0.62 - 0.9 * x : -0.05 + 0.02 * x) + shape + scatter;
};

const nothing = { kind: "settled", said: {} };

const pointsOf = (options: SampleOptions, transfer: Transfer): PointRecord[] => {
  const n = options.intervals ?? 5;
  const points: PointRecord[] = [];
  for (let cycle = 1; cycle <= (options.cycles ?? 1); cycle += 1) {
    for (const direction of ["rising", "falling"] as const) {
      for (let i = 0; i < n; i += 1) {
        const percent = (100 * (direction === "rising" ? i : n - 1 - i)) / (n - 1);
        points.push({
          stage: "as-found",
          ordinal: points.length + 1,
          cycle,
          direction,
          nominal_percent: percent,
          nominal_mA: inputFor(transfer, percentOfSpan(percent)),
        });
      }
    }
  }
  return points;
};

const stageEvents = (stage: Stage, options: SampleOptions, transfer: Transfer): RunEvent[] => {
  const span = transfer.output.upper_kPa - transfer.output.lower_kPa;
  const events: RunEvent[] = [{ kind: "stage-started", stage }];
  for (const planned of pointsOf(options, transfer)) {
    const point = { ...planned, stage };
    if (stage === "as-found" && options.unsettled?.includes(point.ordinal)) {
      events.push({
        kind: "point-not-settled",
        point,
        fault: {
          kind: "unit",
          code: "hunting",
          message: "The output swung by 0.6 kPa every 4 s and did not calm down.",
        },
        verdict: { kind: "hunting", said: {} },
        samples: { at_s: [], pressure_kPa: [] },
      });
      continue;
    }
    const applied = point.nominal_mA + 0.0012 * Math.sin(point.ordinal);
    const error = errorOf(stage, point.nominal_percent, point.direction === "falling", point.ordinal);
    events.push({
      kind: "point-captured",
      point,
      output_kPa: idealOutput(transfer, mA(applied)) + (error / 100) * span,
      spread_kPa: 0.003,
      n: 20,
      n_effective: 8,
      u_settling_kPa: 0.004,
      measured_mA: options.meter === false ? null : applied,
      commanded_mA: point.nominal_mA,
      supply_kPa: 138 + 0.4 * Math.sin(point.ordinal),
      ambient_degC: 21.3 + 0.2 * Math.sin(point.ordinal / 3),
      settle_time_s: 7.5 + (point.ordinal % 4),
      approach: "clean",
      verdict: nothing,
      samples: { at_s: [], pressure_kPa: [] },
    });
  }
  events.push({ kind: "stage-completed", stage });
  return events;
};

const turn = (screw: "zero" | "span", transfer: Transfer, percent: number, before: number, after: number): RunEvent => {
  const target = transfer.output.lower_kPa + (percent / 100) * (transfer.output.upper_kPa - transfer.output.lower_kPa);
  return {
    kind: "screw-turned",
    screw,
    at_percent: percent,
    at_mA: inputFor(transfer, percentOfSpan(percent)),
    target_kPa: target,
    before_kPa: target + before,
    after_kPa: target + after,
  };
};

const adjustmentEvents = (transfer: Transfer): RunEvent[] => [
  { kind: "stage-started", stage: "adjusting" },
  turn("zero", transfer, 0, 0.51, 0.004),
  turn("span", transfer, 100, -0.74, 0.009),
  turn("zero", transfer, 0, -0.061, -0.003),
  {
    kind: "adjustment-ended",
    outcome: "within-aim",
    why: "both ends were within a quarter of the limit after 2 rounds",
    rounds: 2,
  },
];

const sampleRecord = (options: SampleOptions = {}): RunRecord => {
  const unit = sampleUnit(options);
  const transfer = transferOf(unit);
  const simulated = options.simulated ?? true;
  const story = options.story ?? "adjusted";
  const instrument = (role: string, name: string, model: string, serial_number: string): RunEvent => ({
    kind: "instrument-identified",
    role,
    name,
    maker: "Larkfield Metrology",
    model,
    serial_number,
    simulated,
  });
  const troubles = Array.from(
    { length: options.troubles ?? 0 },
    (_, i): RunEvent => ({
      kind: "trouble",
      fault: {
        kind: "communication",
        code: "silence",
        message: `No answer from gauge-1 (unit 2) for ${500 + i} ms; the poll was repeated and then answered.`,
      },
    }),
  );
  const events: RunEvent[] = [
    {
      kind: "run-started",
      format: "stillpoint-record 1",
      run_id: "2031-03-04-0917-station-1",
      software_version: "0.1.0",
      operator: "A. Technician",
      simulated,
      files: [
        { role: "bench", name: "bench.yaml", sha256: "3b1f".repeat(16), text: "" },
        { role: "unit", name: "pv-114.yaml", sha256: "a90c".repeat(16), text: "" },
        { role: "laboratory", name: "laboratory.yaml", sha256: "77e2".repeat(16), text: "" },
      ],
      station: "station-1",
      plan: {
        title: "Up and down",
        follows: ["Points in even steps over the span, rising then falling, after three strokes over the range."],
        steps: pointsOf(options, transfer).map(({ stage: _, ...p }) => ({ kind: "point", ...p })),
      },
      decision_rule: "guarded",
      clock: options.clock ?? "wall",
      clock_factor: 1,
    },
    instrument("source", "loop-source", "LS-22", "LS22-0310"),
    instrument("gauge", "gauge-1", "DG-700", "DG7-0092"),
    ...(options.meter === false ? [] : [instrument("current-meter", "bench-meter", "BM-3", "BM3-1177")]),
    {
      kind: "preflight-check",
      check: "supply pressure",
      outcome: "failed",
      saw: "The supply stood at 137.6 kPa, 0.3 kPa under its nominal value.",
      overridden_by: { name: "A. Technician", reason: "inside the rated supply range" },
    },
    { kind: "exercised", to_percent: 100, held_s: 10 },
    { kind: "exercised", to_percent: 0, held_s: 10 },
    { kind: "exercised", to_percent: 100, held_s: 10 },
    ...(story === "no-as-found" ? [] : stageEvents("as-found", options, transfer)),
    ...troubles,
    ...(story === "not-adjusted" ? [] : adjustmentEvents(transfer)),
    ...(story === "adjusted" || story === "no-as-found" ? stageEvents("as-left", options, transfer) : []),
    { kind: "source-left", outcome: "safe", current_mA: 4 },
    { kind: "run-ended", ending: "finished" },
  ];
  const recorded = events.map(
    (event, seq): RecordedEvent => ({
      seq,
      at_s: 30 * seq,
      utc: `2031-03-04T${String(8 + Math.floor(seq / 120)).padStart(2, "0")}:${String(Math.floor(seq / 2) % 60).padStart(2, "0")}:${seq % 2 === 0 ? "00" : "30"}.000Z`,
      event,
    }),
  );
  const folded = foldRun(recorded);
  if (!folded.ok) throw new Error(folded.fault.message);
  return folded.value;
};

const contribution = (
  id: string,
  name: string,
  given: string,
  unit: string,
  u_input: number,
  sensitivity: number,
  distribution: Contribution["distribution"],
): Contribution => ({
  id,
  name,
  evaluation: distribution === "t" ? "A" : "B",
  distribution,
  given,
  u_input,
  unit,
  sensitivity,
  u_kPa: Math.abs(sensitivity) * u_input,
  degrees_of_freedom: distribution === "t" ? 7 : Number.POSITIVE_INFINITY,
  source: "sample",
});

/** A plain budget, put together by hand: the test is about its print, not about its worth. */
const uncertaintyOf = (ordinal: number, options: SampleOptions): PointUncertainty => {
  const scale = (options.u_kPa ?? 0.0243) / 0.0243;
  const contributions = [
    contribution(
      "gauge-calibration",
      "Reference gauge, calibration",
      "U = 0.04 kPa, k = 2",
      "kPa",
      0.02 * scale,
      1,
      "normal",
    ),
    contribution(
      "gauge-drift",
      "Reference gauge, drift since then",
      "0.02 kPa either way",
      "kPa",
      0.0115 * scale,
      1,
      "rectangular",
    ),
    contribution(
      "current",
      "Current meter, calibration",
      "U = 0.001 mA, k = 2",
      "mA",
      0.0005 * scale,
      -5.171,
      "normal",
    ),
    contribution("resolution", "Resolution of the gauge", "0.001 kPa", "kPa", 0.00029, 1, "rectangular"),
    contribution(
      "settling",
      "Scatter and settling of the output",
      "8 effective readings",
      "kPa",
      (0.004 + 0.0002 * ordinal) * scale,
      1,
      "t",
    ),
  ];
  const u = Math.hypot(...contributions.map((c) => c.u_kPa));
  return {
    ordinal,
    contributions,
    u_kPa: u,
    degrees_of_freedom: 9000,
    k: 2,
    coverage: 0.9545,
    U_kPa: 2 * u,
    k_text: "k = 2, because the effective degrees of freedom are many",
  };
};

const sampleStage = (record: RunRecord, stage: Stage, options: SampleOptions): StageResult | null => {
  const unit = sampleUnit(options);
  const read = stageOf(record, stage);
  if (read === undefined || read.points.length === 0) return null;
  const analysis = analyseStage(stagePoints(read.points), transferOf(unit), { stage });
  if (!analysis.ok) throw new Error(analysis.fault.message);
  const uncertainties = analysis.value.points.map((p) => uncertaintyOf(p.ordinal, options));
  return {
    analysis: analysis.value,
    uncertainties,
    verdict: decideStage(
      analysis.value,
      uncertainties,
      (ideal) => toleranceAt(unit, kPa(ideal)),
      options.rule ?? { rule: "guarded", share_of_U: 1 },
      read.missing.map((p) => `point ${p.ordinal} (${p.nominal_percent} % ${p.direction}, cycle ${p.cycle})`),
    ),
  };
};

export const sampleInput = (options: SampleOptions = {}): CertificateInput => {
  const record = sampleRecord(options);
  const asFound = sampleStage(record, "as-found", options);
  const asLeft = sampleStage(record, "as-left", options);
  return {
    number: "TK-2031-0117",
    language: options.language ?? "en",
    record,
    unit: sampleUnit(options),
    laboratory: sampleLaboratory(options),
    references: REFERENCES,
    ...(asFound === null ? {} : { asFound }),
    ...(asLeft === null ? {} : { asLeft }),
    review: { name: "B. Reviewer", role: "technician", utc: "2031-03-05T07:40:12Z" },
    recordHead: "5d2c".repeat(16),
    dates: { started: "2031-03-04", ended: "2031-03-04", issued: "2031-03-05" },
    ...(options.authorised === false
      ? {}
      : { authorisation: { name: "C. Head", role: "head of the workshop", utc: "2031-03-05T08:55:00Z" } }),
  };
};
