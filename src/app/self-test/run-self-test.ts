import type { CaseResult } from "./check.ts";
import { decisionCases } from "./decisions.ts";
import { fitCases } from "./fits.ts";
import { intervalCases } from "./intervals.ts";
import { lineCases } from "./lines.ts";
import { monteCarloCases } from "./monte-carlo.ts";
import { strdCases } from "./nist-strd.ts";
import { partCases } from "./parts.ts";
import { quantileCases } from "./quantiles.ts";
import { staticCases } from "./static-figures.ts";
import { uncertaintyCases } from "./uncertainty.ts";
import { unitCases } from "./units.ts";

export interface SelfTest {
  readonly cases: readonly CaseResult[];
  readonly checks: number;
  readonly failed_cases: number;
  readonly failed_checks: number;
  readonly passed: boolean;
}

const AREAS: readonly (() => readonly CaseResult[])[] = [
  unitCases,
  lineCases,
  staticCases,
  strdCases,
  quantileCases,
  fitCases,
  uncertaintyCases,
  partCases,
  monteCarloCases,
  decisionCases,
  intervalCases,
];

/** Runs the published cases in this very program (ISO/IEC 17025:2017, 7.11.2). A few seconds. */
export const runSelfTest = (): SelfTest => {
  const cases = AREAS.flatMap((area) => area());
  const checks = cases.flatMap((c) => c.checks);
  const failed_checks = checks.filter((c) => !c.passed).length;
  const failed_cases = cases.filter((c) => !c.passed).length;
  return { cases, checks: checks.length, failed_cases, failed_checks, passed: failed_cases === 0 && cases.length > 0 };
};
