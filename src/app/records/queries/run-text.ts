import { fromKilopascal, PRESSURE_UNITS } from "../../../vocabulary/pressure-units.ts";
import { kPa } from "../../../vocabulary/quantities.ts";
import { textTable, wrapped } from "../../text-table.ts";
import type { RunView } from "./run-view.ts";

/** One run for a person: who, what, with which instruments, what came of it. */

const minute = (utc: string): string => utc.slice(0, 16).replace("T", " ");
const words = (text: string): string => text.replaceAll("-", " ");
const signed = (value: number, digits: number): string => `${value < 0 ? "" : "+"}${value.toFixed(digits)}`;
const joined = (...parts: readonly (string | undefined)[]): string =>
  parts.filter((p) => p !== undefined && p !== "").join(", ");
const named = (name: string, text: string): string => (text === "" ? "" : `, ${name} ${text}`);

const header = ({ whole: { run }, record, unit, certificates }: RunView): readonly string[] => {
  const { identity } = unit;
  const verdicts = [
    run.verdict_found === null ? undefined : `as found ${words(run.verdict_found).toUpperCase()}`,
    run.verdict_left === null ? undefined : `as left ${words(run.verdict_left).toUpperCase()}`,
  ];
  const rows: readonly (readonly [string, string])[] = [
    ["Run", `${run.run_id}, ${run.kind}, ${run.ending}`],
    ["Unit", `${identity.maker} ${identity.model}, serial ${identity.serial_number}${named("tag", run.unit_tag)}`],
    ["For", joined(run.customer, run.batch === "" ? undefined : `batch ${run.batch}`)],
    [
      "Measured",
      `${minute(run.started_utc)} to ${minute(run.ended_utc)} UTC by ${run.operator}, station ${run.station}, bench ${run.bench_id}`,
    ],
    ["Verdict", joined(...verdicts)],
    ["Rule", record.header.decision_rule],
    ["Next due", run.next_due ?? ""],
    ["Certificate", certificates.map((c) => `${c.number} (${c.state} ${c.utc.slice(0, 10)})`).join(", ")],
    ["Chain", `whole, ${run.events} events, head ${run.head}`],
  ];
  return rows.filter(([, text]) => text !== "").flatMap(([name, text]) => wrapped(text, `${name.padEnd(13)}`));
};

const instruments = ({ record, whole: { references } }: RunView): readonly string[] =>
  record.instruments.length === 0
    ? []
    : [
        "",
        "Instruments",
        ...record.instruments.flatMap((i) => [
          `  ${i.role.padEnd(14)} ${i.simulated ? "SIMULATED " : ""}${`${i.maker} ${i.model}`.replaceAll("SIMULATED ", "")}, serial ${i.serial_number}`,
          ...references
            .filter((r) => r.serial_number === i.serial_number && r.role === i.role)
            .map((r) => `${" ".repeat(17)}certificate ${r.certificate_number}, due ${r.due}`),
        ]),
      ];

const DIGITS_BELOW_SPAN = 5;

const stage = ({ stage: name, result }: RunView["stages"][number], { transfer }: RunView): readonly string[] => {
  const { unit } = transfer.output;
  const { analysis, verdict } = result;
  const percent = (value: number | null): string =>
    value === null ? "-" : ((100 * value) / analysis.span_kPa).toFixed(3);
  const spanThere = Math.abs(fromKilopascal(kPa(analysis.span_kPa), unit));
  const digits = Math.max(0, DIGITS_BELOW_SPAN - Math.ceil(Math.log10(spanThere)));
  const rows = analysis.points.map((p) => {
    const judged = verdict.points.find((v) => v.ordinal === p.ordinal);
    return [
      String(p.ordinal),
      p.direction,
      `${p.nominal_percent}`,
      p.applied_mA.toFixed(4),
      fromKilopascal(kPa(p.output_kPa), unit).toFixed(digits),
      signed(p.error_percent_span, 3),
      percent(judged?.limit_kPa ?? null),
      percent(judged?.U_kPa ?? null),
      words(judged?.word ?? "no-statement"),
    ];
  });
  const head = [
    "point",
    "",
    "input, %",
    "mA",
    `output, ${unit in PRESSURE_UNITS ? unit : "kPa"}`,
    "error, %",
    "limit, %",
    "U, %",
    "verdict",
  ];
  return [
    "",
    `${name === "as-found" ? "As found" : "As left"}; errors in % of output span`,
    ...textTable([head, ...rows], 2),
  ];
};

const deviations = ({ record }: RunView): readonly string[] => [
  "",
  record.deviations.length === 0 ? "Nothing departed from the plan." : "Departures from the plan",
  ...record.deviations.flatMap((d) => wrapped(d.text, `  ${d.utc.slice(11, 19)}  `)),
];

const examinations = ({ record }: RunView): readonly string[] =>
  record.examinations.flatMap((e) => [
    "",
    `${e.title}: ${e.ending?.outcome ?? "not ended"}, ${e.traces.length} stretches recorded`,
  ]);

export const runText = (view: RunView): readonly string[] => [
  ...(view.record.simulated ? ["SIMULATED"] : []),
  ...header(view),
  ...instruments(view),
  ...view.stages.flatMap((s) => stage(s, view)),
  ...examinations(view),
  ...deviations(view),
];

/** The same as data: everything unrounded. */
export const runJson = ({ whole, record, stages, certificates, unit }: RunView) => ({
  format: "stillpoint-run 1",
  simulated: record.simulated,
  run: { ...whole.run, facts: undefined, search_text: undefined },
  unit: unit.identity,
  decision_rule: record.header.decision_rule,
  instruments: record.instruments,
  references: whole.references,
  stages: stages.map(({ stage: name, result }) => ({
    stage: name,
    points: result.analysis.points,
    figures: result.analysis.figures,
    verdict: result.verdict,
  })),
  deviations: record.deviations,
  certificates,
  signatures: whole.signatures,
});
