import { describe, expect, it } from "vitest";
import { comparisonLoss, endGauge, massInAir } from "../../src/app/self-test/models.ts";
import { define } from "../../src/cli/commands/budget.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { caseOf, publishedCases } from "../uncertainty/published-cases.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

const write = writtenFiles();
const budget = (text: string, ...args: readonly string[]) => runCommand(define, [write("model.yaml", text), ...args]);

interface Side {
  readonly first_order: {
    readonly u: number;
    readonly k: number;
    readonly U: number;
    readonly degrees_of_freedom: number | "infinite";
  };
  readonly monte_carlo: { readonly u: number } | null;
  readonly comparison?: { readonly validated: boolean };
}
const sideOf = (out: string): Side => {
  const [side] = (JSON.parse(out) as { readonly outputs: readonly Side[] }).outputs;
  if (side === undefined) throw new Error("no output");
  return side;
};
const SUM = `format: stillpoint-budget 1
title: sum
inputs:
  a: { distribution: normal, value: 1, u: 0.3, unit: kPa }
  b: { distribution: normal, value: 2, U: 0.8, k: 2, unit: kPa }
outputs:
  s: { model: a + b, unit: kPa }
`;

describe("GUM and Monte Carlo side by side", () => {
  it("a sum of two: both methods, the seed and the trials are told", async () => {
    const { code, out, talk } = await budget(SUM, "--trials", "20000");
    expect([code, talk]).toEqual([EXIT.success, ""]);
    expect(out).toMatch(/^first order +3\.00 +0\.50 /mu);
    expect(out).toMatch(/^Monte Carlo, shortest +/mu);
    expect(out).toContain("Monte Carlo: 20000 trials, sfc32, seed 1");
    expect(out).toContain("The first-order interval");
  });

  it("the same seed says the same, another one not", async () => {
    const [a, b, c] = await Promise.all(
      ["7", "7", "8"].map((seed) => budget(SUM, "--trials", "5000", "--seed", seed, "--json")),
    );
    expect(a?.out).toBe(b?.out);
    expect(a?.out).not.toBe(c?.out);
  });

  // JCGM 101:2008, 9.3 and 9.4: first order does not hold.
  it("says plainly when the two disagree", async () => {
    for (const text of [massInAir(), comparisonLoss(0, 0.005, 0, 0.005)]) {
      const { out, code } = await budget(text, "--trials", "200000");
      expect(out).toContain("The first-order interval does not hold");
      expect(out).toContain("Use the Monte Carlo interval.");
      expect(code).toBe(EXIT.success);
    }
    const { out } = await budget(massInAir(), "--trials", "200000", "--json");
    expect(sideOf(out).comparison?.validated).toBe(false);
  });

  it("by itself until the results stand still", async () => {
    const { out } = await budget(SUM.replace("title: sum", "title: sum\ndigits: 1"));
    expect(out).toContain("the results stood still to a fifth of the numerical tolerance");
  });

  // JCGM 100:2008, H.1.
  it("H.1 without Monte Carlo, and that nothing was checked", async () => {
    const h1 = caseOf(publishedCases("uncertainty-cases"), "gum-H.1-full");
    const text = endGauge(h1.inputs);
    const { out } = await budget(text, "--no-monte-carlo");
    expect(out).toContain("t distribution with 16 effective degrees of freedom (truncated");
    expect(out).toContain("Monte Carlo was left out");
    const json = sideOf((await budget(text, "--no-monte-carlo", "--json")).out);
    expect(json.monte_carlo).toBeNull();
    expect(Math.abs(json.first_order.U - h1.expected["U99_nm"])).toBeLessThanOrEqual(1);
  });

  it("another coverage goes before that of the file; infinity is a word in JSON", async () => {
    const { out } = await budget(SUM, "--no-monte-carlo", "--coverage", "99 %", "--json");
    expect(sideOf(out).first_order).toMatchObject({ k: expect.closeTo(2.5758, 4), degrees_of_freedom: "infinite" });
  });

  it("too few readings for a variance are named", async () => {
    const few = SUM.replace(
      "{ distribution: normal, value: 1, u: 0.3, unit: kPa }",
      "{ distribution: readings, readings: [1.1, 0.9, 1.0], unit: kPa }",
    );
    expect((await budget(few, "--trials", "5000")).out).toContain("a: with 2 degrees of freedom or fewer");
  });
});

describe("what is refused", () => {
  it.each([
    ["a bare percentage", ["--coverage", "95"], "Write it as 95 % or 0.95"],
    ["too few trials", ["--trials", "10"], "10 trials are too few"],
    ["a seed with a sign", ["--seed", "-1"], "whole number from 0"],
  ])("%s", async (_name, args, says) => {
    const { code, talk, out } = await budget(SUM, ...args);
    expect(code ?? EXIT.wrongUse).toBe(EXIT.wrongUse);
    expect(out).toBe("");
    expect(talk).toContain(says);
  });

  it.each([
    ["an unknown name", SUM.replace("a + b", "a + c"), "model.yaml:7:"],
    ["a formula that is no number", SUM.replace("a + b", "sqrt(0 - a) + b"), "is no number at the estimates"],
    ["a wrong key", SUM.replace("title: sum", "titel: sum"), "titel"],
  ])("%s", async (_name, text, says) => {
    for (const more of [[], ["--no-monte-carlo"]]) {
      const { code, talk } = await budget(text, ...more);
      expect(code).toBe(EXIT.wrongUse);
      expect(talk).toContain(says);
    }
  });
});
