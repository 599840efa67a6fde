import type { Figure, PointError } from "../analysis/analysis.ts";
import type { PointWord } from "../decision/verdict.ts";
import { roundToPlace } from "../uncertainty/rounding.ts";
import { fromKilopascal, pressureText } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { currentRangeText, pressureRangeText } from "../vocabulary/signal-range.ts";
import type { AnalysedFiles, AnalysedReadings } from "./analyse-readings.ts";
import { riskText, shortNumber, textTable, wrapped } from "./text-table.ts";

/** What `analyse` prints about a converter. */

const UNIT_WORDS: Readonly<Record<Figure["unit"], string>> = {
  "%span": "% of output span",
  "%input-span": "% of input span",
  "%ideal-slope": "% of the ideal slope",
  "%reading": "% of reading",
  kPa: "kPa",
  "kPa/mA": "kPa/mA",
  mA: "mA",
  "1": "",
};

export const WORDS: Readonly<Record<PointWord, string>> = {
  pass: "pass",
  "conditional-pass": "conditional pass",
  "conditional-fail": "conditional fail",
  fail: "fail",
  "no-statement": "no statement",
};

const CLIPPED: Readonly<Record<PointError["clipped"], string>> = {
  none: "",
  "at-zero": "at zero pressure",
  "at-supply": "at supply",
};

/** Four places below the leading digit of a span: 12 psi shows 0.001 psi. */
const placeFor = (span: number): number => Math.floor(Math.log10(span)) - 4;

const pointRows = ({ analysis, transfer, verdict }: AnalysedReadings): readonly (readonly string[])[] => {
  const { unit } = transfer.output;
  const place = placeFor(fromKilopascal(kPa(analysis.span_kPa), unit));
  const pressure = (value_kPa: number): string => roundToPlace(fromKilopascal(kPa(value_kPa), unit), place);
  const words = new Map(verdict?.points.map((p) => [p.ordinal, p]));
  return [
    [
      "point",
      "direction",
      "cycle",
      "% of span",
      "nominal mA",
      "applied mA",
      `ideal ${unit}`,
      `output ${unit}`,
      `error ${unit}`,
      "error % of span",
      "error % of reading",
      ...(verdict === null ? [] : [`limit ${unit}`, `U ${unit}`, "verdict", "risk of a wrong verdict"]),
      "",
    ],
    ...analysis.points.map((p) => {
      const judged = words.get(p.ordinal);
      return [
        String(p.ordinal),
        p.direction,
        String(p.cycle),
        shortNumber(p.nominal_percent),
        shortNumber(p.nominal_mA),
        p.applied_from === "measured" ? roundToPlace(p.applied_mA, -4) : "as set",
        pressure(p.ideal_kPa),
        pressure(p.output_kPa),
        pressure(p.error_kPa),
        roundToPlace(p.error_percent_span, -4),
        p.error_percent_reading === null ? "-" : roundToPlace(p.error_percent_reading, -4),
        ...(verdict === null
          ? []
          : [
              judged === undefined ? "-" : pressure(judged.limit_kPa),
              judged?.U_kPa == null ? "-" : pressure(judged.U_kPa),
              judged === undefined ? "-" : WORDS[judged.word],
              judged?.specific_risk == null ? "-" : riskText(judged.specific_risk),
            ]),
        CLIPPED[p.clipped],
      ];
    }),
  ];
};

const figureLines = (f: Figure): readonly string[] => {
  const at = f.at_percent === undefined ? "" : ` at ${shortNumber(f.at_percent)} % of output span`;
  return [
    `${f.name}: ${shortNumber(f.value)} ${UNIT_WORDS[f.unit]}${at}`,
    ...wrapped(`${f.definition}.`, "    "),
    ...wrapped(`Source: ${f.source}.`, "    "),
  ];
};

const verdictLines = ({ verdict, no_verdict, transfer }: AnalysedReadings): readonly string[] => {
  if (verdict === null) return wrapped(no_verdict ?? "", "");
  const zones = verdict.points.flatMap((p) => (p.acceptance_kPa === null ? [] : [p.acceptance_kPa]));
  const narrowest = zones.length === 0 ? null : Math.min(...zones);
  return [
    `Verdict: ${WORDS[verdict.word]}`,
    ...wrapped(verdict.rule_text, "  "),
    ...verdict.reasons.flatMap((reason) => wrapped(reason, "  - ")),
    ...(narrowest === null
      ? []
      : [`  Narrowest acceptance limit: +-${pressureText(kPa(narrowest), transfer.output.unit)}`]),
    ...(verdict.tur === null
      ? []
      : [`  Smallest test uncertainty ratio (limit over U): ${shortNumber(verdict.tur, 3)}`]),
  ];
};

const fileText = (file: AnalysedReadings): readonly string[] => {
  const { set, transfer, analysis, missing } = file;
  return [
    `${set.name}: ${set.readings.length} readings, ${missing.length} missing`,
    ...Object.entries(set.notes).map(([name, note]) => `  ${name}: ${note}`),
    `  ${currentRangeText(transfer.input)} to ${pressureRangeText(transfer.output)}, ${transfer.action} action, ${transfer.characteristic}`,
    "",
    ...textTable(pointRows(file), 2),
    ...missing.map((r) => `point ${r.ordinal} (${r.nominal_mA} mA ${r.direction}, cycle ${r.cycle}): missing`),
    "",
    "Error is output minus ideal output at the applied current. Divisor and denominator stand with each figure:",
    "",
    ...analysis.figures.flatMap(figureLines),
    ...(analysis.remarks.length === 0 ? [] : ["", "What these figures cannot say:"]),
    ...analysis.remarks.flatMap((remark) => wrapped(remark, "  - ")),
    "",
    ...verdictLines(file),
  ];
};

export const analysedText = ({ files, reproducibility }: AnalysedFiles): string =>
  [
    ...files.flatMap((file, i) => [...(i === 0 ? [] : ["", ""]), ...fileText(file)]),
    ...(reproducibility === null ? [] : ["", "Over all files:", ...figureLines(reproducibility)]),
  ].join("\n");

/** The same for machines: everything unrounded. */
export const analysedJson = ({ files, reproducibility }: AnalysedFiles) => ({
  format: "stillpoint-analysis 1",
  files: files.map(({ set, transfer, analysis, missing, verdict, no_verdict }) => ({
    name: set.name,
    notes: set.notes,
    transfer,
    span_kPa: analysis.span_kPa,
    points: analysis.points,
    missing,
    levels: analysis.levels,
    figures: analysis.figures,
    remarks: analysis.remarks,
    verdict,
    no_verdict,
  })),
  reproducibility,
});
