import { figureText } from "../bench-facts.ts";
import { percentOfCoverage } from "../coverage-factor.ts";
import { roundToPlace, roundUncertainty } from "../rounding.ts";
import type { BudgetModel } from "./budget-model.ts";
import type { MethodsSideBySide } from "./compare-methods.ts";
import type { FirstOrder, FirstOrderResult } from "./first-order.ts";
import type { BudgetReport } from "./run-budget.ts";
import type { SetBySet } from "./set-by-set.ts";

/** The report as lines of plain text: one table of inputs an output, both methods below each other, what holds. */

const dofText = (dof: number): string => (Number.isFinite(dof) ? figureText(dof) : "inf");

const table = (rows: readonly (readonly string[])[]): readonly string[] => {
  const widths = (rows[0] ?? []).map((_, i) => Math.max(...rows.map((row) => (row[i] ?? "").length)));
  return rows.map((row) =>
    row
      .map((cell, i) => (i === 0 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0)))
      .join("  ")
      .trimEnd(),
  );
};

/** An estimate to the last place that its uncertainty shows. */
const estimateText = (value: number, u: number): string => roundToPlace(value, roundUncertainty(u).place);

/** y, u and interval to one place: the last digit that u with two digits shows. */
const resultCells = (y: number, u: number, interval: readonly [number, number]): readonly string[] => {
  if (!(u > 0)) return [figureText(y), "0", `[${figureText(interval[0])}, ${figureText(interval[1])}]`];
  const { text, place } = roundUncertainty(u);
  return [roundToPlace(y, place), text, `[${interval.map((end) => roundToPlace(end, place)).join(", ")}]`];
};

/** `part, Pa`; the word alone for a plain number. */
const titled = (word: string, unit: string): string => (unit === "1" ? word : `${word}, ${unit}`);

const inputTable = (model: BudgetModel, first_order: FirstOrder): readonly string[] => {
  const total = first_order.u ** 2;
  const rows = first_order.lines
    .map((line, i) => ({ line, input: model.inputs[i] }))
    .filter(({ line }) => line.u > 0)
    .map(({ line, input }) => [
      line.input,
      estimateText(line.value, line.u),
      figureText(line.u),
      input?.unit ?? "",
      input?.distribution.shape ?? "",
      dofText(line.degrees_of_freedom),
      figureText(line.sensitivity),
      figureText(Math.abs(line.contribution)),
      total > 0 ? ((100 * line.contribution ** 2) / total).toFixed(1) : "-",
    ]);
  return table([
    ["input", "value", "u", "unit", "shape", "dof", "slope", titled("part", first_order.unit), "% of u^2"],
    ...rows,
  ]);
};

const methodTable = (first: FirstOrder, monte: MethodsSideBySide["monte_carlo"] | null): readonly string[] => {
  const second = first.second_order;
  return table([
    ["method", titled("y", first.unit), "u", "interval"],
    ["first order", ...resultCells(first.y, first.u, first.interval)],
    ...(second === null ? [] : [["second order", ...resultCells(first.y, second.u, second.interval)]]),
    ...(monte === null
      ? []
      : [[`Monte Carlo, ${monte.interval_kind}`, ...resultCells(monte.y, monte.u, monte.interval)]]),
  ]);
};

/** ` Pa`; nothing for a plain number. */
const after = (unit: string): string => (unit === "1" ? "" : ` ${unit}`);

/** Nothing uncertain takes part in it: a number from a table or a formula. */
const isPlain = (first: FirstOrder): boolean =>
  first.u === 0 && first.lines.every((line) => line.u === 0 || line.sensitivity === 0) && first.second_order?.u === 0;

const modelLine = (model: BudgetModel, first: FirstOrder): string =>
  `${first.output} = ${model.outputs.find((o) => o.name === first.output)?.text ?? ""}`;

const plainLines = (model: BudgetModel, first: FirstOrder): readonly string[] => [
  modelLine(model, first),
  `  = ${Number(first.y.toPrecision(12))}${after(first.unit)}; nothing uncertain takes part in it`,
];

const firstOrderLines = (
  model: BudgetModel,
  first: FirstOrder,
  monte: MethodsSideBySide["monte_carlo"] | null,
): readonly string[] => [
  modelLine(model, first),
  "",
  ...inputTable(model, first),
  "",
  ...methodTable(first, monte),
  "",
  `First order: ${first.k_text}; U = ${figureText(first.U)}${after(first.unit)}.`,
];

const outputLines = (report: BudgetReport, side: MethodsSideBySide): readonly string[] =>
  isPlain(side.first_order) && side.monte_carlo.u === 0
    ? plainLines(report.model, side.first_order)
    : [
        ...firstOrderLines(report.model, side.first_order, side.monte_carlo),
        side.comparison.statement,
        ...(side.comparison.validated || side.second_order_comparison === null
          ? []
          : [side.second_order_comparison.statement]),
      ];

/** Results from each set of readings, where there are such. */
export const setBySetLines = (sets: SetBySet | null): readonly string[] => {
  if (sets === null) return [];
  const names = sets.outputs.map((o) => o.output);
  const pairs = names.flatMap((a, i) =>
    names
      .slice(i + 1)
      .map((b, j) => `${a} and ${b}: r = ${sets.correlation[i]?.[i + 1 + j]?.toFixed(3) ?? "not defined"}`),
  );
  return [
    "",
    "From each set of readings, then averaged (JCGM 100:2008, H.2.4, second approach):",
    ...table([
      ["output", "y", "u", "dof"],
      ...sets.outputs.map((o) => [
        titled(o.output, o.unit),
        o.u > 0 ? estimateText(o.y, o.u) : figureText(o.y),
        figureText(o.u),
        String(o.degrees_of_freedom),
      ]),
    ]),
    ...pairs,
  ];
};

const correlationLines = (first_order: FirstOrderResult): readonly string[] => {
  const names = first_order.outputs.map((o) => o.output);
  const pairs = names.flatMap((a, i) =>
    names.slice(i + 1).flatMap((b, j) => {
      const r = first_order.correlation[i]?.[i + 1 + j] ?? null;
      return r === null ? [] : [`${a} and ${b}: r = ${r.toFixed(3)}`];
    }),
  );
  return pairs.length === 0 ? [] : ["", "Correlation between outputs, first order:", ...pairs];
};

const trialLine = (report: BudgetReport): string => {
  const { trials, generator, stabilised, tolerance_share } = report.monte_carlo;
  const wanted = tolerance_share === 1 ? "the numerical tolerance" : "a fifth of the numerical tolerance";
  const doubts = report.outputs
    .map((o) => `${o.monte_carlo.output} ${figureText(o.monte_carlo.numerical_doubt ?? 0)} ${o.monte_carlo.unit}`)
    .join(", ");
  const end =
    stabilised === null
      ? "a fixed number, so nothing was watched for standing still"
      : stabilised
        ? `the results stood still to ${wanted}`
        : `stopped before the results stood still to ${wanted}; reached: ${doubts}`;
  return `Monte Carlo: ${trials} trials, ${generator}; ${end}.`;
};

const heading = (model: BudgetModel): readonly string[] => [
  model.title,
  `Coverage probability ${percentOfCoverage(model.coverage)} %`,
  "",
];

/** First order alone: what was asked for without Monte Carlo says so. */
export const firstOrderText = (model: BudgetModel, first_order: FirstOrderResult): string =>
  [
    ...heading(model),
    ...first_order.outputs.flatMap((first) => [
      ...(isPlain(first) ? plainLines(model, first) : firstOrderLines(model, first, null)),
      "",
    ]),
    "Monte Carlo was left out: whether first order holds here was not checked.",
    ...correlationLines(first_order),
  ].join("\n");

export const budgetText = (report: BudgetReport): string =>
  [
    ...heading(report.model),
    ...report.outputs.flatMap((side) => [...outputLines(report, side), ""]),
    trialLine(report),
    ...report.monte_carlo.remarks,
    ...correlationLines(report.first_order),
  ].join("\n");
