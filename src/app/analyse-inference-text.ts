import type { DataAnalysis } from "../analysis/analyse-data.ts";
import type { LineControl } from "../uncertainty/check-standard.ts";
import { percentOfCoverage } from "../uncertainty/coverage-factor.ts";
import type { FitInference } from "../uncertainty/fit-inference.ts";
import { shortNumber, textTable, wrapped } from "./text-table.ts";

/** What `analyse` prints about a fit held against t and F, a series that remembers, and a line in use. */

const fine = (value: number | null): string => (value === null ? "-" : shortNumber(value, 9));
const percent = (probability: number): string => `${percentOfCoverage(probability)} %`;

const verdictOnTerms = ({ terms, t_critical, probability, degrees_of_freedom }: FitInference): readonly string[] => [
  ...textTable([
    ["  term", "t = estimate over standard error", `U at ${percent(probability)}`, ""],
    ...terms.map((t) => [
      `  ${t.term}`,
      fine(t.t),
      fine(t.U),
      t.differs_from_zero === null ? "" : t.differs_from_zero ? "differs from zero" : "cannot be told from zero",
    ]),
  ]),
  `  critical |t| ${fine(t_critical)} at ${percent(probability)}, ${degrees_of_freedom} degrees of freedom`,
];

export const inferenceLines = (inference: FitInference | null): readonly string[] => {
  if (inference === null) return [];
  const { lack_of_fit: lack, predictions, x_of_smallest_u, probability } = inference;
  return [
    ...verdictOnTerms(inference),
    ...(lack === null
      ? []
      : wrapped(
          `Lack of fit from the values repeated at one x (NIST/SEMATECH e-Handbook, 4.6.1.5): F = ${fine(lack.F)}, critical ${fine(lack.F_critical)} at ${percent(probability)}: ${lack.rejected ? "the values do not follow this fit" : "nothing speaks against this fit"}.`,
          "  ",
        )),
    ...(predictions.length === 0
      ? []
      : [
          "",
          `Values read from the fit, U at ${percent(probability)} (JCGM 100:2008, H.3; of the line itself, and of one more value):`,
          ...textTable([
            ["  x", "y", "u of the line", "U of the line", "U of one more value", "scatter from"],
            ...predictions.map((p) => [`  ${fine(p.x)}`, ...[p.y, p.u, p.U, p.U_next_value].map(fine), p.by]),
          ]),
          ...(x_of_smallest_u === null ? [] : [`  the line is known best at x = ${fine(x_of_smallest_u)}`]),
        ]),
  ];
};

export const seriesLines = ({ autoregression: ar, steady, summary }: DataAnalysis): readonly string[] => [
  ...(ar === null
    ? []
    : [
        "",
        `As a series that remembers, order ${ar.order} (JCGM GUM-6:2020, 11.7.3; exact likelihood):`,
        ...ar.phi.map((phi, i) => `  phi ${i + 1} = ${fine(phi)}, u = ${fine(ar.u_phi[i] ?? null)}`),
        `  new in each value: standard deviation ${fine(ar.sigma)}`,
        ...wrapped(
          `level ${fine(ar.level)}, u = ${fine(ar.u_level)}; as if the values were independent it would be ${fine(summary.standard_deviation_of_mean)}`,
          "  ",
        ),
      ]),
  ...(steady === null
    ? []
    : [
        "",
        `Steadiness ratio, weights ${steady.weights.join(", ")} (Cao and Rhinehart, 1995): about 1 for steady white noise, more while the level moves and for values that hang together`,
        `  largest ${fine(steady.largest)} at value ${steady.largest_at ?? "-"}, last ${fine(steady.ratios.at(-1) ?? null)}; all of them stand in the JSON`,
      ]),
];

export const controlLines = (control: LineControl | null): readonly string[] => {
  if (control === null) return [];
  const { together, t_star, limit, readings, outside, probability } = control;
  return [
    "",
    `Line in use against check standards (NIST/SEMATECH e-Handbook, 2.3.7.1): limits +-${fine(limit)} in x, t* = ${fine(t_star)} for ${together} together at ${percent(probability)}`,
    ...textTable([
      ["  group", "x", "y", "by the line, less x", ""],
      ...readings.map((r) => [`  ${r.group ?? "all"}`, ...[r.x, r.y, r.off].map(fine), r.outside ? "outside" : ""]),
    ]),
    outside.length === 0
      ? "  Nothing is outside: the line stands."
      : `  Outside: ${outside.join(", ")}. Find out why before the line is used on.`,
  ];
};
