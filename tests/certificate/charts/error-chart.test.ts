import { expect, it } from "vitest";
import { certificateModel } from "../../../src/certificate/certificate-model.ts";
import type { ChartData } from "../../../src/certificate/charts/chart-data.ts";
import { inPieces } from "../../../src/certificate/charts/error-chart.ts";
import { type SampleOptions, sampleInput } from "../sample-input.ts";

const chart = (id: string, options: SampleOptions): ChartData => {
  const found = certificateModel(sampleInput({ simulated: false, ...options }))
    .sections.flatMap((s) => s.blocks)
    .flatMap((b) => (b.kind === "chart" && b.chart.id === id ? [b.chart] : []))[0];
  if (found === undefined) throw new Error(`no chart ${id}`);
  return found;
};
const lengths = (of: ChartData, style: string): readonly number[] =>
  of.lines.filter((l) => l.style === style).map((l) => l.points.length);

it("a line is cut where an input between two of its points was not read", () => {
  const line = [4, 8, 12, 16, 20].map((x) => [x, 0] as const);
  expect(inPieces(line, [])).toEqual([line]);
  expect(
    inPieces(
      line.filter(([x]) => x !== 12),
      [12],
    ).map((piece) => piece.length),
  ).toEqual([2, 2]);
  expect(inPieces(line, [4, 20])).toEqual([line]);
  expect(inPieces([], [4])).toEqual([]);
});

it("no line runs over points that never stood still, and the legend names it once", () => {
  const options = { unsettled: [3, 4] };
  expect(lengths(chart("error-as-found", options), "solid")).toEqual([2, 1]);
  expect(lengths(chart("error-as-found", options), "dashed")).toEqual([5]);
  const hysteresis = chart("hysteresis-as-found", options);
  expect(lengths(hysteresis, "solid")).toEqual([2, 1]);
  expect(new Set(hysteresis.lines.filter((l) => l.style === "solid").map((l) => l.name)).size).toBe(1);
  expect(lengths(chart("error-as-left", options), "solid")).toEqual([5]);
});
