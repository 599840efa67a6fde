import { coverageOfRectangleAndNormal } from "../../uncertainty/coverage-factor.ts";
import { chiSquareQuantile } from "../../uncertainty/statistics/chi-square.ts";
import { normalCdf, normalQuantile } from "../../uncertainty/statistics/normal.ts";
import { studentTQuantile } from "../../uncertainty/statistics/student-t.ts";
import { allowed, caseFile, casesIn } from "./case-files.ts";
import { type CaseResult, recordCase } from "./check.ts";

const INFINITE = Number.POSITIVE_INFINITY;
type Row = readonly [p: number, x: number];

/** The largest relative distance over a table, as one check. */
const tableCase = (id: string, rows: readonly Row[], quantile: (p: number) => number, relative: number): CaseResult => {
  const record = recordCase({
    area: "quantiles",
    id,
    source: "mpmath 1.3.0 at 40 digits",
    status: "computed by another program",
  });
  const worst = rows.reduce((most, [p, x]) => Math.max(most, Math.abs(quantile(p) / x - 1)), 0);
  record.below(`largest relative distance over ${rows.length} quantiles`, worst, relative);
  return record.result();
};

/** Quantiles of the normal, Student's t and chi-square distributions. */
export const quantileCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("quantiles-cases", "quantiles");

  const normal = caseOf<
    Readonly<Record<"normal_levels_percent" | "rectangular_levels_percent", readonly number[]>>,
    Readonly<Record<"normal_k" | "rectangular_k", readonly number[]>>
  >("gum-G.1-normal-k");
  normal.record.nearAll(
    "k of a normal distribution",
    normal.inputs.normal_levels_percent.map((p) => normalQuantile(0.5 + p / 200)),
    normal.expected.normal_k,
    allowed(normal.tolerance, "normal_k", 1),
  );
  normal.record.nearAll(
    "k of a rectangle",
    normal.inputs.rectangular_levels_percent.map((p) => coverageOfRectangleAndNormal(1, 0, p / 100)),
    normal.expected.rectangular_k,
    allowed(normal.tolerance, "rectangular_k", 1),
  );

  const table = caseOf<
    unknown,
    { readonly rows: readonly { readonly nu: number; readonly t: readonly number[] }[] },
    { readonly rows: { readonly abs: number; readonly abs_nu100: number } }
  >("gum-G.2-t-table");
  // 68.27, 95.45 and 99.73 % stand for exactly one, two and three sigma.
  const levels = [1, 0, 0, 2, 0, 3].map((sigma, i) =>
    sigma === 0 ? ([0, 0.9, 0.95, 0, 0.99][i] ?? 0) : 2 * normalCdf(sigma) - 1,
  );
  for (const { nu, t } of table.expected.rows) {
    const width = nu === 100 ? table.tolerance.rows.abs_nu100 : table.tolerance.rows.abs;
    table.record.nearAll(
      `t, ${nu} degrees of freedom,`,
      levels.map((level) => studentTQuantile(0.5 + level / 2, nu)),
      t,
      width * 1.0000001,
    );
  }

  type Grid = Readonly<Record<"nu", readonly number[]>>;
  const upper = caseOf<
    Grid & { readonly alpha: readonly number[] },
    { readonly t: readonly (readonly number[])[]; readonly nu_infinity: readonly number[] }
  >("eh-t-upper");
  upper.inputs.nu.forEach((nu, row) => {
    const got = upper.inputs.alpha.map((alpha) => -studentTQuantile(alpha, nu));
    upper.record.nearAll(
      `t, ${nu} degrees of freedom,`,
      got,
      upper.expected.t[row] ?? [],
      allowed(upper.tolerance, "t", 1),
    );
  });
  upper.record.nearAll(
    "t, infinitely many,",
    upper.inputs.alpha.map((alpha) => -studentTQuantile(alpha, INFINITE)),
    upper.expected.nu_infinity,
    allowed(upper.tolerance, "nu_infinity", 1),
  );

  const star = caseOf<Grid, { readonly t_star: readonly number[] }>("eh-t-star");
  star.record.nearAll(
    "t*",
    star.inputs.nu.map((nu) => -studentTQuantile((1 - 0.95 ** (1 / 3)) / 2, nu)),
    star.expected.t_star,
    allowed(star.tolerance, "t_star", 1),
  );

  const chi = caseOf<Grid & { readonly p: readonly number[] }, { readonly chi2: readonly (readonly number[])[] }>(
    "eh-chi2",
  );
  chi.inputs.nu.forEach((nu, row) => {
    const got = chi.inputs.p.map((p) => chiSquareQuantile(p, nu));
    chi.record.nearAll(
      `chi-square, ${nu} degrees of freedom,`,
      got,
      chi.expected.chi2[row] ?? [],
      allowed(chi.tolerance, "chi2", 1),
    );
  });

  const exact = caseFile("quantiles-mpmath") as {
    readonly normal: readonly Row[];
    readonly t: readonly { readonly dof: number; readonly quantiles: readonly Row[] }[];
    readonly chi_square: readonly { readonly dof: number; readonly quantiles: readonly Row[] }[];
  };
  return [
    ...[normal, table, upper, star, chi].map((c) => c.record.result()),
    tableCase(
      "normal",
      exact.normal.filter(([, x]) => x !== 0),
      normalQuantile,
      1e-14,
    ),
    ...exact.t.map(({ dof, quantiles }) =>
      tableCase(`t, ${dof} degrees of freedom`, quantiles, (p) => studentTQuantile(p, dof), 1e-10),
    ),
    ...exact.chi_square.map(({ dof, quantiles }) =>
      tableCase(`chi-square, ${dof} degrees of freedom`, quantiles, (p) => chiSquareQuantile(p, dof), 1e-10),
    ),
  ];
};
