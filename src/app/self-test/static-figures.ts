import { analyseData, type DataOptions } from "../../analysis/analyse-data.ts";
import type { FigureId } from "../../analysis/analysis.ts";
import { minimaxLineThrough } from "../../analysis/minimax-line.ts";
import type { PlainFigure } from "../../analysis/plain-static.ts";
import { mean, rootMeanSquare, standardDeviation, unpairedT } from "../../analysis/statistics.ts";
import type { DataRow, PlainData } from "../../readings/plain-data.ts";
import { casesIn } from "./case-files.ts";
import type { CaseResult } from "./check.ts";

type Figures<K extends string> = Readonly<Record<K, number>>;
type Row = Pick<DataRow, "direction"> & { readonly x: number; readonly y: number; readonly cycle?: number };

/** Figures of plain columns, by the way that `stillpoint analyse` goes. */
const figuresOf = (rows: readonly Row[], options: DataOptions): ((id: FigureId) => PlainFigure | undefined) => {
  const data: PlainData = {
    name: "published case",
    x: [{ name: "x", unit: "" }],
    y: { name: "y", unit: "" },
    directed: true,
    grouped: false,
    rows: rows.map((r) => ({ x: [r.x], y: r.y, direction: r.direction, cycle: r.cycle ?? 1, group: null })),
    missing: 0,
    notes: {},
  };
  const done = analyseData(data, options);
  return (id) => (done.ok ? done.value.static?.figures.find((f) => f.id === id) : undefined);
};

const branch = (
  direction: "rising" | "falling",
  x: readonly number[],
  y: readonly number[],
  cycle = 1,
): readonly Row[] => x.map((value, i) => ({ direction, x: value, y: y[i] ?? Number.NaN, cycle }));

/** Hysteresis, repeatability, static error band, simple statistics. */
export const staticCases = (): readonly CaseResult[] => {
  const hysteresis = casesIn("hysteresis-cases", "hysteresis");
  const other = casesIn("analysis-cases", "figures");

  const gauge = hysteresis<
    Figures<"lrv" | "urv"> & {
      readonly readings: readonly {
        readonly direction: "up" | "down";
        readonly applied: number;
        readonly indicated: number;
      }[];
    },
    Figures<"hysteresis_psi" | "hysteresis_percent_of_span">,
    Figures<"abs">
  >("hyst-ccst-0-30psig");
  {
    const range = [gauge.inputs.lrv, gauge.inputs.urv] as const;
    const figure = figuresOf(
      gauge.inputs.readings.map((r) => ({
        direction: r.direction === "up" ? "rising" : "falling",
        x: r.applied,
        y: r.indicated,
      })),
      { x_range: range, y_range: range },
    )("hysteresis-plus-dead-band");
    gauge.record.near("% of span", figure?.value, gauge.expected.hysteresis_percent_of_span, gauge.tolerance.abs);
    gauge.record.near("psi", figure?.in_y, gauge.expected.hysteresis_psi, gauge.tolerance.abs);
  }

  const doebelin = hysteresis<
    Readonly<Record<"applied" | "up" | "down", readonly number[]>>,
    Figures<"max" | "at_applied" | "percent_of_applied_span">,
    Figures<"abs">
  >("doebelin-hysteresis");
  {
    const { applied, up, down } = doebelin.inputs;
    const figure = figuresOf([...branch("rising", applied, up), ...branch("falling", applied, down)], {
      x_range: [0, 10],
      y_range: [0, 10],
    })("hysteresis-plus-dead-band");
    const { expected: e, tolerance: t, record } = doebelin;
    record.near("% of span", figure?.value, e.percent_of_applied_span, t.abs);
    record.near("kPa", figure?.in_y, e.max, t.abs);
    record.near("applied, kPa", figure?.at_x, e.at_applied, t.abs);
  }

  const course = hysteresis<
    Readonly<Record<"applied" | "up" | "down", readonly number[]>>,
    Figures<"max_abs" | "percent_of_output_span">,
    Figures<"percent_of_output_span" | "default">
  >("course-hysteresis-0-5mV");
  {
    const { applied, up, down } = course.inputs;
    const figure = figuresOf(
      [...branch("rising", applied, up), ...branch("falling", applied, down)],
      {},
    )("hysteresis-plus-dead-band");
    const { expected: e, tolerance: t, record } = course;
    record.near("mV", figure?.in_y, e.max_abs, t.default);
    record.near("% of the observed span", figure?.value, e.percent_of_output_span, t.percent_of_output_span);
  }

  const cell = hysteresis<
    Readonly<Record<"applied" | "output", readonly number[]>> & Figures<"gain">,
    Figures<"hysteresis">,
    Figures<"abs">
  >("loadcell-hysteresis");
  {
    const { applied, output, gain } = cell.inputs;
    // Six loads going up, the others coming down; the output times its gain is in units of the load.
    const rows = applied.map(
      (x, i): Row => ({ direction: i < 6 ? "rising" : "falling", x, y: gain * (output[i] ?? Number.NaN) }),
    );
    const figure = figuresOf(rows, {})("hysteresis-plus-dead-band");
    cell.record.near("units of the load", figure?.in_y, cell.expected.hysteresis, cell.tolerance.abs);
  }

  const band = other<
    Readonly<Record<"applied" | "output", readonly number[]>> & Figures<"applied_full_scale">,
    Figures<"static_error_band_percent_fs" | "output_at_full_scale">,
    Figures<"static_error_band_percent_fs" | "output_at_full_scale">
  >("loadcell-static-error-band");
  {
    const { applied, output, applied_full_scale: full } = band.inputs;
    const line = minimaxLineThrough(
      { x: 0, y: 0 },
      applied.map((x, i) => ({ x, y: output[i] ?? Number.NaN })),
    );
    const atFull = (line?.slope ?? Number.NaN) * full;
    const { expected: e, tolerance: t, record } = band;
    record.near("output at full scale", atFull, e.output_at_full_scale, t.output_at_full_scale);
    const percent = (100 * (line?.max_deviation ?? Number.NaN)) / atFull;
    record.near(
      "static error band, % of full scale",
      percent,
      e.static_error_band_percent_fs,
      t.static_error_band_percent_fs,
    );
  }

  const pontius = other<
    Readonly<Record<"load" | "run1" | "run2", readonly number[]>>,
    Figures<"repeatability_max_abs" | "terminal_based_max_abs" | "independent_max_abs">,
    Figures<"repeatability_max_abs" | "terminal_based_max_abs" | "independent_max_abs">
  >("pontius-repeatability-and-linearity");
  {
    const { load, run1, run2 } = pontius.inputs;
    const figures = figuresOf([...branch("rising", load, run1, 1), ...branch("rising", load, run2, 2)], {});
    const { expected: e, tolerance: t, record } = pontius;
    record.near("repeatability", figures("repeatability")?.in_y, e.repeatability_max_abs, t.repeatability_max_abs);
    record.near(
      "terminal-based linearity",
      figures("linearity-terminal")?.in_y,
      e.terminal_based_max_abs,
      t.terminal_based_max_abs,
    );
    record.near(
      "independent linearity",
      figures("linearity-independent")?.in_y,
      e.independent_max_abs,
      t.independent_max_abs,
    );
  }

  const simple = other<
    { readonly y: readonly number[] },
    Figures<"mean" | "std_n_minus_1" | "rms">,
    Figures<"mean" | "std_n_minus_1" | "rms">
  >("cfr-mean-std-rms");
  simple.record.near("mean", mean(simple.inputs.y), simple.expected.mean, simple.tolerance.mean);
  simple.record.near(
    "standard deviation, divisor n - 1",
    standardDeviation(simple.inputs.y),
    simple.expected.std_n_minus_1,
    simple.tolerance.std_n_minus_1,
  );
  simple.record.near("root mean square", rootMeanSquare(simple.inputs.y), simple.expected.rms, simple.tolerance.rms);

  const two = other<
    Figures<"mean_ref" | "mean" | "sd_ref" | "sd" | "n_ref" | "n">,
    Figures<"t" | "degrees_of_freedom">,
    Figures<"abs">
  >("cfr-unpaired-t");
  {
    const i = two.inputs;
    const got = unpairedT({ mean: i.mean_ref, sd: i.sd_ref, n: i.n_ref }, { mean: i.mean, sd: i.sd, n: i.n });
    two.record.near("t", got.t, two.expected.t, two.tolerance.abs);
    two.record.near("degrees of freedom", got.degrees_of_freedom, two.expected.degrees_of_freedom, two.tolerance.abs);
  }
  return [gauge, doebelin, course, cell, band, pontius, simple, two].map((c) => c.record.result());
};
