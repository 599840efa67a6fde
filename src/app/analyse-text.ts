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

const STAGE_WORDS: Readonly<Record<AnalysedReadings["stage"], string>> = {
  "as-found": "as found",
  "as-left": "as left",
};

const CLIPPED: Readonly<Record<PointError["clipped"], string>> = {
  none: "",
  "at-zero": "at zero pressure",
  "at-supply": "at supply",
};

/** Four places below the leading digit of a span: 12 psi shows 0.001 psi. */
const placeFor = (span: number): number => Math.floor(Math.log10(span)) - 4;

const inUnit = ({ analysis, transfer }: AnalysedReadings): ((value_kPa: number) => string) => {
  const { unit } = transfer.output;
  const place = placeFor(fromKilopascal(kPa(analysis.span_kPa), unit));
  return (value_kPa) => roundToPlace(fromKilopascal(kPa(value_kPa), unit), place);
};

const pointRows = (file: AnalysedReadings): readonly (readonly string[])[] => {
  const { analysis, transfer } = file;
  const { unit } = transfer.output;
  const pressure = inUnit(file);
  return [
    [
      "point",
      "direction",
      "cycle",
      "% span",
      "nominal mA",
      "applied mA",
      `ideal ${unit}`,
      `output ${unit}`,
      `error ${unit}`,
      "= % of span",
      "= % of reading",
      "",
    ],
    ...analysis.points.map((p) => [
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
      CLIPPED[p.clipped],
    ]),
  ];
};

/** What each point is judged by. The risk is that of the verdict being wrong; without a verdict there is none. */
const verdictRows = (file: AnalysedReadings): readonly (readonly string[])[] => {
  const { verdict, transfer } = file;
  const { unit } = transfer.output;
  const pressure = inUnit(file);
  return [
    ["  point", `error ${unit}`, `limit ${unit}`, `U ${unit}`, `accepted ${unit}`, "verdict", "risk of being wrong"],
    ...(verdict?.points ?? []).map((p) => [
      `  ${p.ordinal}`,
      pressure(p.error_kPa),
      pressure(p.limit_kPa),
      p.U_kPa === null ? "not known" : pressure(p.U_kPa),
      p.acceptance_kPa === null ? "none" : `+-${pressure(p.acceptance_kPa)}`,
      WORDS[p.word],
      p.specific_risk === null || p.word === "no-statement" ? "-" : riskText(p.specific_risk),
    ]),
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

const verdictLines = (file: AnalysedReadings): readonly string[] => {
  const { verdict, no_verdict, transfer } = file;
  if (verdict === null) return wrapped(no_verdict ?? "", "");
  const zones = verdict.points.flatMap((p) => (p.acceptance_kPa === null ? [] : [p.acceptance_kPa]));
  const narrowest = zones.length === 0 ? null : Math.min(...zones);
  return [
    `Verdict: ${WORDS[verdict.word]}`,
    ...wrapped(verdict.rule_text, "  "),
    ...textTable(verdictRows(file)),
    ...verdict.reasons.flatMap((reason) => wrapped(reason, "  - ")),
    ...(narrowest === null
      ? []
      : [`  Narrowest acceptance limit: +-${pressureText(kPa(narrowest), transfer.output.unit)}`]),
    ...(verdict.tur === null
      ? []
      : [`  Smallest test uncertainty ratio (limit over U): ${shortNumber(verdict.tur, 3)}`]),
  ];
};

/** Figures with their definitions, once for all files: those in `told` stand above already. */
const figureList = (figures: readonly Figure[], told: Set<string>): readonly string[] =>
  figures.flatMap((f) => {
    const [first = "", ...more] = figureLines(f);
    if (told.has(f.definition)) return [first];
    told.add(f.definition);
    return [first, ...more];
  });

const fileText = (file: AnalysedReadings, told: Set<string>): readonly string[] => {
  const { set, stage, transfer, analysis, missing } = file;
  return [
    `${set.name}${set.staged ? `, ${STAGE_WORDS[stage]}` : ""}: ${set.readings.length} ${set.readings.length === 1 ? "reading" : "readings"}, ${missing.length} missing`,
    ...Object.entries(set.notes).map(([name, note]) => `  ${name}: ${note}`),
    `  ${currentRangeText(transfer.input)} to ${pressureRangeText(transfer.output)}, ${transfer.action} action, ${transfer.characteristic}`,
    "",
    ...textTable(pointRows(file), 2),
    ...missing.map((r) => `point ${r.ordinal} (${r.nominal_mA} mA ${r.direction}, cycle ${r.cycle}): missing`),
    "",
    told.size === 0
      ? "Error is output minus ideal output at the applied current. Divisor and denominator stand with each figure:"
      : "Figures, defined as above:",
    "",
    ...figureList(analysis.figures, told),
    ...(analysis.remarks.length === 0 ? [] : ["", "What these figures cannot say:"]),
    ...analysis.remarks.flatMap((remark) => wrapped(remark, "  - ")),
    "",
    ...verdictLines(file),
  ];
};

const changeLines = (change: AnalysedFiles["changes"][number]): readonly string[] => [
  "",
  "",
  `${change.name}: as found to as left`,
  ...textTable(
    [
      ["% of span", "direction", "as found, % of span", "as left, % of span", "change, % of span"],
      ...change.places.map((p) => [
        shortNumber(p.nominal_percent),
        p.direction,
        ...[p.as_found_percent_span, p.as_left_percent_span, p.change_percent_span].map((v) => roundToPlace(v, -4)),
      ]),
    ],
    2,
  ),
  `Largest error as found ${shortNumber(change.worst_as_found_percent_span, 4)} % of span, as left ${shortNumber(change.worst_as_left_percent_span, 4)} %.${
    change.largest === null
      ? " The stages have no place in common."
      : ` Largest change ${shortNumber(change.largest.change_percent_span, 4)} % at ${shortNumber(change.largest.nominal_percent)} % ${change.largest.direction}.`
  }`,
];

export const analysedText = ({ files, changes, reproducibility, reproducibility_as_left }: AnalysedFiles): string => {
  const told = new Set<string>();
  return [
    ...files.flatMap((file, i) => [...(i === 0 ? [] : ["", ""]), ...fileText(file, told)]),
    ...changes.flatMap(changeLines),
    ...(reproducibility === null ? [] : ["", "Over all files:", ...figureLines(reproducibility)]),
    ...(reproducibility_as_left === null
      ? []
      : ["", "Over all files, as left:", ...figureLines(reproducibility_as_left)]),
  ].join("\n");
};

/** The same for machines: everything unrounded. */
export const analysedJson = ({ files, changes, reproducibility, reproducibility_as_left }: AnalysedFiles) => ({
  format: "stillpoint-analysis 1",
  files: files.map(({ set, stage, transfer, analysis, missing, verdict, no_verdict }) => ({
    name: set.name,
    stage,
    stage_stated: set.staged,
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
  changes,
  reproducibility,
  reproducibility_as_left,
});
