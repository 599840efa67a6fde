import type { CalibrationFact, FactStage } from "../history/calibration-fact.ts";
import { shareOfLimit } from "../history/calibration-fact.ts";
import { seriesName } from "../history/drift-series.ts";
import type { MethodId, Proposal } from "../history/methods/proposal.ts";
import type { ModelRate } from "../history/model-drift.ts";
import { HORIZON_YEARS, type PointDrift } from "../history/unit-drift.ts";
import { leftOf } from "../history/unit-history.ts";
import { historyPlot, type PlottedPoint } from "./history-plot.ts";
import { proposalBy, type UnitReport } from "./history-report.ts";
import { textTable, wrapped } from "./text-table.ts";

const signed = (value: number | null, digits = 3): string =>
  value === null ? "-" : `${value < 0 ? "" : "+"}${value.toFixed(digits)}`;

const share = (stage: FactStage | null): string =>
  stage === null ? "-" : `${(100 * shareOfLimit(stage)).toFixed(0)} %`;

const calibrationRow = (fact: CalibrationFact, days: number | null): readonly string[] => [
  fact.date,
  days === null ? "-" : String(days),
  signed(fact.as_found?.zero_error_percent_span ?? null),
  signed(fact.as_found?.span_error_percent_span ?? null),
  share(fact.as_found),
  fact.as_found?.verdict ?? "-",
  fact.adjusted ? "yes" : "no",
  share(leftOf(fact)),
  leftOf(fact)?.verdict ?? "-",
];

const calibrations = ({ history }: UnitReport): readonly string[] => [
  "Calibrations: zero, span in % of output span; found, left in % of the limit",
  ...textTable(
    [
      ["  date", "days", "zero", "span", "found", "verdict", "turned", "left", "verdict"],
      ...history.findings.map(({ fact, days }) => calibrationRow(fact, days)).map(([d, ...r]) => [`  ${d}`, ...r]),
    ],
    1,
  ),
  ...history.interruptions.map((i) => `  ${i.date}  the history begins anew: ${i.what}`),
  ...history.left_out.map((l) => `  ${l.date}  left out, ${l.run_id}: ${l.why}`),
];

const pointRow = (drift: PointDrift, next: string | null): readonly string[] => [
  `  ${seriesName(drift.series)}`,
  `${signed(drift.per_year)} ± ${drift.per_year_half_width.toFixed(3)}`,
  ...(next === null ? [] : [`${signed(drift.at(next).error)} ± ${drift.at(next).next.toFixed(3)}`]),
  drift.series.limit_percent_span.toFixed(3),
  drift.expected_leaves ?? "-",
  drift.earliest_leaves ?? "-",
];

const driftLines = ({ drift }: UnitReport, next: string | null, width: number): readonly string[] => {
  if (drift.kind === "too-few") return wrapped(`Drift: nothing is said from ${drift.why}.`, "", width);
  const { trend, runs } = drift.governing;
  const sure = `${(100 * trend.confidence).toFixed(0)} %`;
  return [
    `Drift, % of output span; ± at ${sure}, Student's t with ${trend.degrees_of_freedom} degrees of freedom`,
    ...textTable([
      ["  point", "a year", ...(next === null ? [] : [`found ${next}`]), "limit", "line leaves", "earliest"],
      ...drift.points.map((p) => pointRow(p, next)),
    ]),
    ...wrapped(
      `Drift is as found less as left before. "line leaves": the line itself meets the limit; "earliest": the ${sure} interval of the next result reaches it; "-": not within ${HORIZON_YEARS} years. ${seriesName(drift.governing.series)} leads. The limits are those of the tolerance, without a guard band.`,
      "  ",
      width,
    ),
    ...(runs < 5 ? wrapped(`${runs} calibrations: the intervals are wide because so few are known.`, "  ", width) : []),
  ];
};

const rateLine = (rate: ModelRate): string =>
  `  ${rate.figure} ${signed(rate.mean)} ± ${rate.half_width.toFixed(3)} a year (${rate.rates} rates of ${rate.units} units); between units ${rate.between_units.toFixed(3)}, within a unit ${rate.within_units === null ? "not known" : rate.within_units.toFixed(3)}`;

const modelLines = ({ history, model, settings }: UnitReport): readonly string[] => {
  const rates = [model.zero, model.span].flatMap((r) => r ?? []);
  return rates.length === 0
    ? [`Model ${history.unit.model}: no drift is pooled, it takes two units with two calibrations each.`]
    : [
        `Model ${history.unit.model}: drift in % of output span, ± at ${(100 * settings.confidence).toFixed(0)} %; spreads as standard deviations`,
        ...rates.map(rateLine),
      ];
};

const proposalLines = (proposal: Proposal, chosen: MethodId | undefined, width: number): readonly string[] => [
  `  ${proposal.method === chosen ? "> " : "  "}${proposal.method.padEnd(16)} ${
    proposal.months === null
      ? "no interval"
      : `${String(proposal.months).padStart(3)} month${proposal.months === 1 ? "" : "s"}, due ${proposal.next_due}`
  }`,
  ...[
    ...(proposal.refused === null ? [] : [proposal.refused]),
    ...proposal.evidence,
    `Changes with: ${proposal.would_change}.`,
    `Source: ${proposal.source}.`,
  ].flatMap((line) => wrapped(line, "      ", width)),
];

const intervalLines = (report: UnitReport, method: MethodId | undefined, width: number): readonly string[] => [
  method === undefined ? "Recalibration interval, by each method" : "Recalibration interval",
  ...report.proposals
    .filter((p) => method === undefined || p.method === method)
    .flatMap((p) => proposalLines(p, method, width)),
  ...wrapped(
    "These are proposals to whoever answers for the unit. None of them is for a certificate, unless the customer agreed to a next date (ISO/IEC 17025:2017, 7.8.4.3); then the laboratory file says so under next_due.",
    "  ",
    width,
  ),
];

/** The point that is drawn: the one asked for, else the one that leads, else the one furthest out as found last. */
export const plottedPoint = (report: UnitReport, name?: string): PlottedPoint | null => {
  const { drift, history } = report;
  const series = drift.kind === "drift" ? drift.points : [];
  const wanted = name?.trim().toLowerCase();
  const of = (p: PointDrift): PlottedPoint => ({ ...p.series, drift: p });
  if (wanted === undefined && drift.kind === "drift") return of(drift.governing);
  const known = series.find((p) => seriesName(p.series) === wanted);
  if (known !== undefined) return of(known);
  const stage = history.findings.at(-1)?.fact.as_found ?? history.findings.at(-1)?.fact.as_left;
  const points = (stage?.points ?? []).toSorted(
    (a, b) =>
      Math.abs(b.error_percent_span) / b.limit_percent_span - Math.abs(a.error_percent_span) / a.limit_percent_span,
  );
  const found = wanted === undefined ? points[0] : points.find((p) => seriesName(p) === wanted);
  return found === undefined ? null : { ...found, drift: null };
};

export interface HistoryTextOptions {
  readonly method?: MethodId | undefined;
  readonly point?: string | undefined;
  readonly width: number;
}

/** Which method's date the picture and the foretold result are for: the one asked for, else the fixed interval. */
const dateOf = (report: UnitReport, method: MethodId | undefined): string | null =>
  proposalBy(report, method ?? "fixed")?.next_due ?? proposalBy(report, "fixed")?.next_due ?? null;

/** The whole history of a unit for a terminal. */
export const historyText = (report: UnitReport, options: HistoryTextOptions): readonly string[] => {
  const { unit, simulated } = report.history;
  const width = Math.max(40, Math.min(options.width, 110));
  const due = dateOf(report, options.method);
  const point = plottedPoint(report, options.point);
  const marked = simulated ? "SIMULATED  " : "";
  return [
    `${marked}${unit.maker} ${unit.model} ${unit.serial_number}${unit.tag === null ? "" : `, tag ${unit.tag}`}${unit.customer === null ? "" : `, ${unit.customer}`}`,
    ...report.same_tag.map(
      (s) =>
        `${marked}The tag ${unit.tag} was also on ${s.unit.serial_number}, ${s.from} to ${s.to}: a unit of its own.`,
    ),
    "",
    ...calibrations(report),
    "",
    ...(point === null ? [] : [...historyPlot(report.history, point, due, options.width), ""]),
    ...driftLines(report, due, width),
    "",
    ...modelLines(report).flatMap((line) => wrapped(line.trimStart(), line.startsWith("  ") ? "  " : "", width)),
    "",
    ...intervalLines(report, options.method, width),
  ];
};
