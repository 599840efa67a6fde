import { leastSquares, polynomialFit } from "../../analysis/least-squares.ts";
import { lag1Autocorrelation, mean, oneWayAnova, standardDeviation } from "../../analysis/statistics.ts";
import { caseFile } from "./case-files.ts";
import { type CaseResult, recordCase } from "./check.ts";

interface LineSet {
  readonly name: string;
  readonly address: string;
  readonly polynomialDegree: number | null;
  readonly intercept: boolean;
  readonly certified: {
    readonly estimate: readonly number[];
    readonly standardDeviation: readonly number[];
    readonly residualStandardDeviation: number;
    readonly rSquared: number;
  };
  readonly x: readonly number[] | readonly (readonly number[])[];
  readonly y: readonly number[];
}
type Univariate = Readonly<Record<"mean" | "standardDeviation" | "lag1Autocorrelation", number>>;
interface UnivariateSet {
  readonly name: string;
  readonly address: string;
  readonly certified: Univariate;
  readonly attainableRelativeError: Univariate;
  readonly data?: readonly number[];
  readonly digits?: string;
}
interface AnovaSet {
  readonly name: string;
  readonly address: string;
  readonly certified: Readonly<Record<"F" | "rSquared", number>>;
  readonly exactFForIeeeDoubles: number;
  readonly data: readonly (readonly number[])[];
}
interface Strd {
  readonly univariate: readonly UnivariateSet[];
  readonly linearRegression: readonly LineSet[];
  readonly anova: readonly AnovaSet[];
}

const RELATIVE = 1e-12;
/** Absolute where the certified value is zero: a standard error of nothing. */
const within = (certified: number, relative = RELATIVE): number =>
  certified === 0 ? relative : relative * Math.abs(certified);

const begin = (name: string, address: string) =>
  recordCase({
    area: "NIST StRD",
    id: name,
    source: `NIST Statistical Reference Datasets, ${name}, ${address}`,
    status: "read in the source; certified values",
  });

const lineCase = (set: LineSet): CaseResult => {
  const record = begin(set.name, set.address);
  const { certified } = set;
  const fit =
    set.polynomialDegree === null
      ? leastSquares(set.x as readonly (readonly number[])[], set.y, { intercept: set.intercept })
      : polynomialFit(set.x as readonly number[], set.y, set.polynomialDegree, { intercept: set.intercept });
  certified.estimate.forEach((b, i) => {
    record.near(`estimate ${i}`, fit?.estimate[i], b, within(b));
  });
  certified.standardDeviation.forEach((s, i) => {
    record.near(`standard error ${i}`, fit?.standard_error?.[i], s, within(s));
  });
  record.near(
    "residual standard deviation",
    fit?.residual_sd,
    certified.residualStandardDeviation,
    within(certified.residualStandardDeviation),
  );
  record.near("R squared", fit?.r_squared, certified.rSquared, within(certified.rSquared));
  return record.result();
};

const univariateCase = (set: UnivariateSet): CaseResult => {
  const record = begin(set.name, set.address);
  const data = set.data ?? [...(set.digits ?? "")].map(Number);
  const got = {
    mean: mean(data),
    standardDeviation: standardDeviation(data),
    lag1Autocorrelation: lag1Autocorrelation(data),
  };
  for (const key of ["mean", "standardDeviation", "lag1Autocorrelation"] as const) {
    // The decimals of some sets are no doubles: no arithmetic on doubles comes closer than the attainable error.
    const relative = Math.max(RELATIVE, 1.1 * set.attainableRelativeError[key]);
    record.near(key, got[key], set.certified[key], within(set.certified[key], relative));
  }
  return record.result();
};

const anovaCase = (set: AnovaSet): CaseResult => {
  const record = begin(set.name, set.address);
  const got = oneWayAnova(set.data);
  const { certified, exactFForIeeeDoubles: exact } = set;
  // F of the set as doubles hold it, in exact arithmetic; SmLs07 cannot give its certified 21.
  record.near("F, of the data as doubles hold them", got?.F, exact, within(exact));
  const held = Math.abs(exact - certified.F) / certified.F;
  record.near("F", got?.F, certified.F, within(certified.F, Math.max(RELATIVE, 4 * held)));
  record.near(
    "R squared",
    got?.r_squared,
    certified.rSquared,
    within(certified.rSquared, Math.max(RELATIVE, 4 * held)),
  );
  return record.result();
};

/** Certified least squares, univariate statistics and analysis of variance. */
export const strdCases = (): readonly CaseResult[] => {
  const strd = caseFile("nist-strd") as Strd;
  return [...strd.linearRegression.map(lineCase), ...strd.univariate.map(univariateCase), ...strd.anova.map(anovaCase)];
};
