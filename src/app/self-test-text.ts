import type { CaseResult, Check } from "./self-test/check.ts";
import type { SelfTest } from "./self-test/run-self-test.ts";
import { shortNumber, textTable } from "./text-table.ts";

/** What `self-test` prints: each case with its source, each figure as it ought to be and as it came out. */

const figure = (value: number | string): string => (typeof value === "string" ? value : shortNumber(value, 15));

const checkRow = (c: Check): readonly string[] => [
  `    ${c.what}`,
  figure(c.expected),
  figure(c.got),
  typeof c.tolerance === "number" ? shortNumber(c.tolerance, 3) : c.tolerance,
  c.passed ? "pass" : "FAIL",
];

const caseLines = (c: CaseResult, area: string | undefined): readonly string[] => [
  ...(c.area === area ? [] : ["", c.area]),
  `  ${c.passed ? "pass" : "FAIL"}  ${c.id}: ${c.source} (${c.status})`,
  ...textTable([["    figure", "expected", "got", "tolerance", ""], ...c.checks.map(checkRow)]),
];

export const selfTestText = (test: SelfTest, version: string, platform: string): string =>
  [
    `Stillpoint ${version} on ${platform}: published cases, worked out by this program`,
    ...test.cases.flatMap((c, i) => caseLines(c, test.cases[i - 1]?.area)),
    "",
    `${test.cases.length} cases with ${test.checks} figures: ${test.passed ? "all agree" : `${test.failed_cases} cases with ${test.failed_checks} figures DO NOT AGREE`}.`,
    ...(test.passed
      ? []
      : [
          "Do not use this installation for results. Install it again; if it still disagrees, report the lines marked FAIL.",
        ]),
  ].join("\n");
