import { roundToPlace } from "../../uncertainty/rounding.ts";
import type { SectionContext, ShownStage } from "../sections/section-context.ts";
import type { ChartData } from "./chart-data.ts";
import { inPieces, inputAxis, meanByInput, percentAxis, unreadInputs, valueAxis } from "./error-chart.ts";

/** Output while falling minus output while rising, both moved to the nominal current; null when one direction is missing. */
export const hysteresisChart = (context: SectionContext, shown: ShownStage): ChartData | null => {
  const { texts, print } = context;
  const { analysis } = shown.result;
  const differences = analysis.points.flatMap((falling) => {
    if (falling.direction !== "falling") return [];
    const rising = analysis.points.find(
      (p) => p.direction === "rising" && p.cycle === falling.cycle && p.nominal_mA === falling.nominal_mA,
    );
    if (rising === undefined) return [];
    return [
      {
        nominal_mA: falling.nominal_mA,
        difference: falling.output_at_nominal_kPa - rising.output_at_nominal_kPa,
        ordinal: falling.ordinal,
      },
    ];
  });
  if (differences.length === 0) return null;
  const mean = meanByInput(differences, (d) => d.difference);
  const greatest = differences.reduce((a, b) => (Math.abs(b.difference) > Math.abs(a.difference) ? b : a));
  const decimals = (shown.rounded.points.find((p) => p.ordinal === greatest.ordinal)?.in_kPa.error.split(".")[1] ?? "")
    .length;
  const low = Math.min(0, ...differences.map((d) => d.difference));
  const high = Math.max(0, ...differences.map((d) => d.difference));
  const margin = 0.08 * (high - low) || 1e-3;
  const y = valueAxis(
    context,
    texts.hysteresisAxis("kPa"),
    low === 0 ? 0 : low - margin,
    high === 0 ? 0 : high + margin,
    4,
  );
  return {
    id: `hysteresis-${shown.stage}`,
    title: texts.hysteresisChart(shown.title),
    alternative: texts.hysteresisAlternative(
      shown.title,
      mean.length,
      print.quantity(roundToPlace(greatest.difference, -decimals), "kPa"),
    ),
    x: inputAxis(context),
    y,
    yRight: percentAxis(context, texts.hysteresisAxisPercent, y, analysis.span_kPa),
    bands: [],
    lines: [
      ...inPieces(mean, unreadInputs(context, shown)).map((points) => ({
        name: texts.hysteresisLegend,
        style: "solid" as const,
        points,
        nudge: 0,
      })),
      ...mean.map(([x, value]) => ({
        name: null,
        style: "dotted" as const,
        nudge: 0,
        points: [[x, 0] as const, [x, value] as const],
      })),
    ],
    series: [
      {
        name: texts.differenceLegend,
        marker: "open-diamond",
        nudge: 0,
        points: differences.map((d) => ({ x: d.nominal_mA, y: d.difference })),
      },
    ],
    barLegend: null,
    height: 108,
  };
};
