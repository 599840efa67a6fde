import { spawnSync } from "node:child_process";
import { describe, expect, it } from "vitest";
import { chiSquareQuantile } from "../../../src/uncertainty/statistics/chi-square.ts";
import { normalQuantile } from "../../../src/uncertainty/statistics/normal.ts";
import { studentTQuantile } from "../../../src/uncertainty/statistics/student-t.ts";

/**
 * Second opinion on quantiles nobody wrote down: mpmath (Debian python3-mpmath) works out, at 40 digits, the smaller
 * tail at each of our quantiles. It has to be the probability that was asked for.
 */
const PROGRAM = `
import json, sys
from mpmath import mp, mpf, betainc, gammainc, erfc, sqrt
mp.dps = 40
def tail(kind, x, dof, p):
    x, upper = mpf(x), p > 0.5
    if kind == "normal":
        return erfc((x if upper else -x) / sqrt(mpf(2))) / 2
    a = mpf(dof) / 2
    if kind == "t":
        return betainc(a, mpf(1) / 2, 0, dof / (dof + x * x), regularized=True) / 2
    return gammainc(a, x / 2, mp.inf, regularized=True) if upper else gammainc(a, 0, x / 2, regularized=True)
json.dump([float(tail(*row)) for row in json.load(sys.stdin)], sys.stdout)
`;

const present = spawnSync("python3", ["-c", "import mpmath"]).status === 0;
const required = process.env["CI"] === "true";

type Row = readonly [kind: "normal" | "t" | "chi-square", x: number, dof: number, p: number];

const rows = (): readonly Row[] => {
  const ps = [3e-200, 7e-40, 1.3e-11, 4.4e-5, 0.0123, 0.1777, 0.3, 0.49, 0.61, 0.8765, 0.98765, 0.99999];
  const dofs = [1, 1.37, 2.5, 6.25, 11.9, 44.4, 333.3, 9876.5];
  return ps.flatMap((p): readonly Row[] => [
    ["normal", normalQuantile(p), 0, p],
    ...dofs.map((dof): Row => ["t", studentTQuantile(p, dof), dof, p]),
    ...dofs.filter(() => p > 1e-50).map((dof): Row => ["chi-square", chiSquareQuantile(p, dof), dof, p]),
  ]);
};

describe.skipIf(!present && !required)("quantiles under mpmath (needs python3-mpmath)", () => {
  it("have the tail that was asked for, to 1e-11", () => {
    const asked = rows();
    const { status, stdout, stderr } = spawnSync("python3", ["-c", PROGRAM], {
      input: JSON.stringify(asked),
      encoding: "utf8",
    });
    expect(stderr).toBe("");
    expect(status).toBe(0);
    const tails = JSON.parse(stdout) as readonly number[];
    expect(tails).toHaveLength(asked.length);
    asked.forEach(([kind, x, dof, p], i) => {
      const wanted = Math.min(p, 1 - p);
      // The last binary digit of the quantile itself moves a far tail: by x^2 for the normal, dof for t.
      const unavoidable = 1e-15 * (kind === "normal" ? x * x : kind === "t" ? Math.min(dof + 1, x * x) : x);
      expect(Math.abs((tails[i] ?? 0) / wanted - 1), `${kind} p ${p} dof ${dof}`).toBeLessThan(1e-11 + unavoidable);
    });
  });
});
