import type { FurtherDrawing, FurtherTest } from "../further-test.ts";
import type { SectionContext } from "../sections/section-context.ts";
import type { ChartData, LineStyle } from "./chart-data.ts";
import { valueAxis } from "./error-chart.ts";

const STYLES: readonly LineStyle[] = ["solid", "dashed", "dotted", "heavy"];
/** Dots stand so close that a thin line through them says the same and keeps the file small. */
const MOST_POINTS = 400;

const thinned = <T>(points: readonly T[]): readonly T[] => {
  const every = Math.ceil(points.length / MOST_POINTS);
  return every <= 1 ? points : points.filter((_, i) => i % every === 0 || i === points.length - 1);
};

/** The drawing of a test that explains the unit. Readings are dotted, what was fitted is drawn through. */
export const furtherChart = (context: SectionContext, test: FurtherTest, drawing: FurtherDrawing): ChartData => {
  const all = drawing.series.flatMap((s) => s.points);
  const [xs, ys] = [all.map(([x]) => x), all.map(([, y]) => y)];
  const { texts } = context;
  const axis = (words: string): string => texts.furtherAxis(words);
  const lines = drawing.series.filter((s) => s.kind === "line");
  return {
    id: `further-${test.run_id}-${drawing.title.replaceAll(/[^a-z0-9]+/giu, "-")}`,
    title: texts.furtherChart(test.title, drawing.title),
    alternative: texts.furtherChartAlternative(test.title, drawing.title, axis(drawing.x), axis(drawing.y)),
    x: valueAxis(context, axis(drawing.x), Math.min(...xs), Math.max(...xs), 8),
    y: valueAxis(context, axis(drawing.y), Math.min(...ys), Math.max(...ys), 5),
    yRight: null,
    bands: [],
    lines: drawing.series.map((s) => ({
      name: texts.furtherSeries(s.name),
      style: s.kind === "dots" ? "dotted" : (STYLES[lines.indexOf(s) % STYLES.length] ?? "solid"),
      points: thinned(s.points),
      nudge: 0,
    })),
    series: [],
    barLegend: null,
    height: 110,
  };
};
