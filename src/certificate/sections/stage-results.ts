import type { Block } from "../block.ts";
import { errorChart } from "../charts/error-chart.ts";
import { hysteresisChart } from "../charts/hysteresis-chart.ts";
import { customerUnitTable, resultsTable } from "./results-table.ts";
import { body, type SectionBuilder } from "./section-context.ts";

/** Results of the n-th stage that is shown: table, drawings, figures. */
export const stageResults =
  (n: 0 | 1): SectionBuilder =>
  (context) => {
    const shown = context.shown[n];
    if (shown === undefined) return null;
    const { texts } = context;
    const hysteresis = hysteresisChart(context, shown);
    const blocks: (Block | null)[] = [
      shown.title === texts.asFoundAndLeft ? { kind: "paragraph", text: texts.asFoundAndLeftNote } : null,
      resultsTable(context, shown),
      { kind: "chart", chart: errorChart(context, shown) },
      hysteresis === null ? null : { kind: "chart", chart: hysteresis },
      customerUnitTable(context, shown),
    ];
    return body(
      `results-${shown.stage}`,
      texts.results(shown.title),
      blocks.filter((b): b is Block => b !== null),
    );
  };
