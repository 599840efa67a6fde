import type { NamedLines } from "../analysis/analyse-data.ts";
import type { FittedLine } from "../analysis/minimax-line.ts";
import type { PlainFit } from "../analysis/plain-lines.ts";
import type { PlainFigure, PlainStatic } from "../analysis/plain-static.ts";
import { controlLines, inferenceLines, seriesLines } from "./analyse-inference-text.ts";
import type { AnalysedData } from "./analyse-plain.ts";
import { dynamicsLines } from "./plain-dynamics.ts";
import { shortNumber, textTable, wrapped } from "./text-table.ts";

/** What `analyse` prints about plain columns of numbers. */

/** Fits are printed to twelve digits: they are compared with other programs. */
const fine = (value: number | null): string => (value === null ? "-" : shortNumber(value, 12));

const withUnit = (value: number, unit: string): string => `${shortNumber(value)}${unit === "" ? "" : ` ${unit}`}`;

const fitLines = (fit: PlainFit, indent: string): readonly string[] => [
  ...textTable([
    [`${indent}term`, "estimate", "standard error"],
    ...fit.terms.map((t) => [`${indent}${t.term}`, fine(t.estimate), fine(t.standard_error)]),
  ]),
  `${indent}n = ${fit.n}, degrees of freedom n - p = ${fit.degrees_of_freedom}, R squared = ${fine(fit.r_squared)}${fit.F === null ? "" : `, F = ${fine(fit.F)}`}`,
  `${indent}residual standard deviation ${fine(fit.residual_sd)} (divisor n - p; ${fine(fit.residual_sd_by_n)} with divisor n); standard errors go with divisor n - p`,
  `${indent}sum of squares: regression ${fine(fit.ss_regression)}, residual ${fine(fit.ss_residual)}; largest residual ${fine(fit.max_deviation)}`,
];

const OVER: Readonly<Record<NamedLines["over"], string>> = {
  all: "all values",
  mean: "the mean of rising and falling at each x",
  rising: "rising values",
  falling: "falling values",
};

const lineRows = ({ lines }: NamedLines, unit: string): readonly (readonly string[])[] => {
  const row = (name: string, line: FittedLine | null): readonly (readonly string[])[] =>
    line === null
      ? []
      : [
          [
            `  ${name}`,
            fine(line.slope),
            fine(line.intercept),
            withUnit(line.max_deviation, unit),
            shortNumber(line.at_x),
          ],
        ];
  const squares = (fit: PlainFit | null, name: string): readonly (readonly string[])[] => {
    if (fit === null) return [];
    const of = (term: string) => fit.terms.find((t) => t.term === term);
    const residual = fit.residuals.findIndex((r) => Math.abs(r) >= fit.max_deviation);
    return [
      [
        `  ${name}`,
        fine(of("x")?.estimate ?? null),
        fine(of("1")?.estimate ?? 0),
        withUnit(fit.max_deviation, unit),
        `value ${residual + 1}`,
      ],
    ];
  };
  return [
    ["  line", "slope", "intercept", "largest deviation", "at x"],
    ...squares(lines.least_squares, "least squares"),
    ...row("independent (smallest largest deviation)", lines.independent),
    ...row("terminal (through the ends)", lines.terminal),
    ...row("zero-based (through the first, smallest largest deviation)", lines.zero_based),
    ...squares(lines.least_squares_through_zero, "least squares through x = 0, y = 0"),
    ...row("through x = 0, y = 0, smallest largest deviation", lines.through_zero),
  ];
};

const figureLines = (f: PlainFigure, unit: string): readonly string[] => {
  const words = {
    "%span": "% of y span",
    "%input-span": "% of x span",
    "%ideal-slope": "% of the ideal slope",
    "y/x": "y/x",
  };
  const same = f.in_y === undefined ? "" : ` = ${withUnit(f.in_y, unit)}`;
  return [
    `${f.name}: ${shortNumber(f.value)} ${words[f.unit]}${same}${f.at_x === undefined ? "" : ` at x = ${shortNumber(f.at_x)}`}`,
    ...wrapped(`${f.definition}.`, "    "),
    ...wrapped(`Source: ${f.source}.`, "    "),
  ];
};

const levelRows = ({ levels }: PlainStatic): readonly string[] => {
  if (!levels.some((l) => l.falling_minus_rising !== null)) return [];
  const cell = (value: number | null): string => (value === null ? "-" : shortNumber(value));
  return [
    "",
    ...textTable([
      ["x", "rising", "falling", "mean of both", "falling minus rising"],
      ...levels.map((l) => [cell(l.x), cell(l.rising), cell(l.falling), cell(l.mean), cell(l.falling_minus_rising)]),
    ]),
  ];
};

const staticLines = (s: PlainStatic, unit: string): readonly string[] => [
  "",
  `Spans ${s.ranges}: x ${s.x_range.map((v) => shortNumber(v)).join(" to ")}, y ${s.y_range.map((v) => shortNumber(v)).join(" to ")}`,
  ...(s.ranges === "observed"
    ? ["Shares are of what was seen; give --x-range and --y-range for errors and for shares of the nominal spans."]
    : []),
  ...(s.errors.length === 0
    ? []
    : [
        "",
        ...textTable([
          ["value", "x", "ideal y", "y", "error", "error % of y span"],
          ...s.errors.map((e, i) => [
            String(i + 1),
            ...[e.x, e.ideal_y, e.y, e.error, e.error_percent_span].map((v) => shortNumber(v)),
          ]),
        ]),
      ]),
  ...levelRows(s),
  "",
  ...s.figures.flatMap((f) => figureLines(f, unit)),
  ...(s.remarks.length === 0 ? [] : ["", "What these figures cannot say:"]),
  ...s.remarks.flatMap((r) => wrapped(r, "  - ")),
];

export const dataText = ({ data, analysis, inference, control, dynamics }: AnalysedData): string => {
  const { summary, groups, unpaired_t, fit, lines } = analysis;
  const { unit } = data.y;
  return [
    `${data.name}: ${summary.n} values${analysis.missing === 0 ? "" : `, ${analysis.missing} missing`}`,
    ...Object.entries(data.notes).map(([name, note]) => `  ${name}: ${note}`),
    ...(data.x.length > 0
      ? []
      : [
          `mean ${fine(summary.mean)}`,
          `standard deviation ${fine(summary.standard_deviation)} (divisor n - 1)`,
          `standard deviation of the mean ${fine(summary.standard_deviation_of_mean)} (over square root of n)`,
          `relative standard deviation of that standard deviation ${fine(summary.relative_sd_of_sd)} (JCGM 100:2008, E.4.3)`,
          `root mean square ${fine(summary.root_mean_square)} (divisor n)`,
          `lag-1 autocorrelation ${fine(summary.lag_1_autocorrelation)}`,
          `smallest ${fine(summary.smallest)}, largest ${fine(summary.largest)}`,
        ]),
    ...(groups === null
      ? []
      : [
          "",
          ...textTable([
            ["spread", "degrees of freedom", "sum of squares"],
            ["between groups", String(groups.df_between), fine(groups.ss_between)],
            ["within groups", String(groups.df_within), fine(groups.ss_within)],
          ]),
          `F = ${fine(groups.F)}, R squared = ${fine(groups.r_squared)}, residual standard deviation ${fine(groups.residual_sd)}`,
        ]),
    ...(unpaired_t === null
      ? []
      : [
          `two means, spreads not taken as equal (Welch; 40 CFR 1065.602(f)): t = ${fine(unpaired_t.t)} with ${fine(unpaired_t.degrees_of_freedom)} degrees of freedom`,
        ]),
    ...(fit === null
      ? []
      : ["", "Least squares over all values:", ...fitLines(fit, "  "), ...inferenceLines(inference)]),
    ...lines.flatMap((l) => ["", `Lines through ${OVER[l.over]}:`, ...textTable(lineRows(l, unit))]),
    ...(analysis.static === null ? [] : staticLines(analysis.static, unit)),
    ...seriesLines(analysis),
    ...controlLines(control),
    ...dynamicsLines(dynamics),
    "",
    "No verdict is made about plain numbers; `stillpoint decide` judges a value against a limit.",
  ].join("\n");
};

export const dataJson = ({ data, analysis, inference, control, dynamics }: AnalysedData) => ({
  format: "stillpoint-data-analysis 1",
  name: data.name,
  notes: data.notes,
  columns: { x: data.x, y: data.y },
  ...analysis,
  inference,
  control,
  dynamics,
});
