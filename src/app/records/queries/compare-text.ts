import { textTable } from "../../text-table.ts";
import type { ComparedPoint, Comparison } from "./compare-runs.ts";
import { errorPlot } from "./error-plot.ts";
import type { RunView } from "./run-view.ts";

/** Two runs side by side for a person. */

const signed = (value: number | null): string => (value === null ? "-" : `${value < 0 ? "" : "+"}${value.toFixed(3)}`);

const titleOf = ({ whole: { run }, record, unit: { identity } }: RunView): string =>
  [
    ...(record.simulated ? ["SIMULATED"] : []),
    run.run_id,
    `${identity.maker} ${identity.model} ${identity.serial_number}`,
    run.started_utc.slice(0, 10),
    `by ${run.operator}`,
  ].join("  ");

const rowOf = (p: ComparedPoint): readonly string[] => [
  p.direction,
  String(p.nominal_percent),
  signed(p.first?.error_percent_span ?? null),
  signed(p.second?.error_percent_span ?? null),
  signed(p.difference_percent_span),
  p.beyond_uncertainty === null ? "" : p.beyond_uncertainty ? "beyond U" : "within U",
  p.first?.word === p.second?.word
    ? ""
    : `${p.first?.word ?? "-"} -> ${p.second?.word ?? "-"}`.replaceAll("-", " ").replaceAll("  >", " ->"),
];

const stageLines = (points: readonly ComparedPoint[], plot: boolean, width: number): readonly string[] => {
  const largest = points
    .filter((p) => p.difference_percent_span !== null)
    .toSorted((a, b) => Math.abs(b.difference_percent_span ?? 0) - Math.abs(a.difference_percent_span ?? 0))[0];
  const marks = points.flatMap((p) => [
    ...(p.first === null ? [] : [{ x: p.nominal_percent, y: p.first.error_percent_span, mark: "1" }]),
    ...(p.second === null ? [] : [{ x: p.nominal_percent, y: p.second.error_percent_span, mark: "2" }]),
  ]);
  return [
    "",
    `${points[0]?.stage === "as-found" ? "As found" : "As left"}; errors in % of output span, means over the cycles`,
    ...textTable([["", "input, %", "1", "2", "2 less 1", "", ""], ...points.map(rowOf)]),
    largest === undefined
      ? "No point is in both."
      : `Largest difference ${signed(largest.difference_percent_span)} at ${largest.nominal_percent} % ${largest.direction}.`,
    ...(plot ? ["", "Error, % of span", ...errorPlot(marks, [], width), "1 first run  2 second run  * both"] : []),
  ];
};

export const compareText = (
  first: RunView,
  second: RunView,
  { points, same_unit, same_range }: Comparison,
  { plot, width }: { readonly plot: boolean; readonly width: number },
): readonly string[] => [
  `1  ${titleOf(first)}`,
  `2  ${titleOf(second)}`,
  ...(same_unit ? [] : ["These are two different units."]),
  ...(same_range ? [] : ["Their ranges differ: % of span is another quantity in each."]),
  ...(first.record.simulated === second.record.simulated
    ? []
    : ["One is simulated and the other is real: the difference means nothing for a unit."]),
  ...(["as-found", "as-left"] as const).flatMap((stage) => {
    const ofStage = points.filter((p) => p.stage === stage);
    return ofStage.length === 0 ? [] : stageLines(ofStage, plot, width);
  }),
  ...(points.length === 0 ? ["", "Neither has points."] : []),
];
