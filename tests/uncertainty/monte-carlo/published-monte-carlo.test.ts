import { describe, expect, it } from "vitest";
import { comparisonLoss, gaugeBlock, massInAir, sumOfFour } from "../../../src/app/self-test/models.ts";
import type { BudgetModel } from "../../../src/uncertainty/budget/budget-model.ts";
import { budgetText } from "../../../src/uncertainty/budget/budget-text.ts";
import { propagateFirstOrder } from "../../../src/uncertainty/budget/first-order.ts";
import { runBudget } from "../../../src/uncertainty/budget/run-budget.ts";
import { monteCarlo, type TrialChoice } from "../../../src/uncertainty/monte-carlo/monte-carlo.ts";
import { blockSize, numericalTolerance } from "../../../src/uncertainty/monte-carlo/numerical-tolerance.ts";
import { sfc32 } from "../../../src/uncertainty/monte-carlo/random-words.ts";
import { modelOf, published } from "../budget/budget-fixtures.ts";
import { caseOf, inTolerances, publishedCases } from "../published-cases.ts";

const cases = publishedCases("monte-carlo-cases");
const named = (id: string) => {
  const c = caseOf(cases, id);
  return {
    ...c,
    check: (key: string, got: number, wanted?: number) =>
      expect(inTolerances(c, key, got, wanted), `${id} ${key}: got ${got}`).toBeLessThanOrEqual(1),
  };
};
const run = (model: BudgetModel, choice: TrialChoice, seed = 1) => {
  const result = monteCarlo(model, sfc32(seed), choice);
  if (!result.ok) throw new Error(result.fault.message);
  const [output] = result.value.outputs;
  if (output === undefined) throw new Error("no output");
  return { ...result.value, ...output };
};
const side = (model: BudgetModel, choice: TrialChoice, seed = 1) => {
  const report = runBudget(model, sfc32(seed), choice);
  if (!report.ok) throw new Error(report.fault.message);
  const [output] = report.value.outputs;
  if (output === undefined) throw new Error("no output");
  return output;
};

const fourOf = (shape: string) => published(sumOfFour(shape));

describe("JCGM 101:2008, 7.9", () => {
  it("numerical tolerance", () => {
    const { inputs, expected, check } = named("s1-7.9.2-tolerance");
    (inputs["u"] as number[]).forEach((u, i) => {
      check("delta", numericalTolerance(u, inputs["ndig"][i]), expected["delta"][i]);
    });
    expect(numericalTolerance(0, 2)).toBe(0);
    // 0.0996 rounds to 0.10: one place up.
    expect(numericalTolerance(0.0996, 2)).toBeCloseTo(0.005, 15);
  });

  it("block size, past the traps of binary fractions", () => {
    const { inputs, expected, check } = named("s1-7.9.4-block-size");
    (inputs["p"] as number[]).forEach((p, i) => {
      check("M", blockSize(p), expected["M"][i]);
    });
    expect(blockSize(0.99999)).toBe(10_000_000);
  });

  it("adaptive: ends by itself, within its tolerance, the same for the same seed", () => {
    const model = { ...fourOf("normal, value: 0, u: 1"), digits: 1 as const };
    const first = run(model, { trials: "adaptive", for_validation: true });
    expect(first.stabilised).toBe(true);
    expect(first.trials % 10_000).toBe(0);
    expect(first.numerical_doubt).toBeLessThanOrEqual(0.1);
    expect(run(model, { trials: "adaptive", for_validation: true })).toEqual(first);
    expect(run(model, { trials: "adaptive", for_validation: true }, 2).y).not.toBe(first.y);
  });

  it("adaptive: gives up honestly", () => {
    const given = run(fourOf("normal, value: 0, u: 1"), { trials: "adaptive", most: 30_000 });
    expect(given).toMatchObject({ stabilised: false, trials: 30_000 });
  });
});

describe("JCGM 101:2008, 9", () => {
  it("9.2.2: four normal inputs", () => {
    const { expected, check } = named("s1-9.2.2-gaussian");
    const result = run(fourOf("normal, value: 0, u: 1"), { trials: 1_000_000 });
    check("y", result.y, expected["y"]);
    check("u", result.u);
    result.interval.forEach((end, i) => {
      check("interval", end, expected["interval"][i]);
    });
    check("delta_ndig2", numericalTolerance(result.u, 2));
  });

  it("9.2.3: four rectangular inputs; whether first order holds is a near tie and is called one", () => {
    const { expected, check } = named("s1-9.2.3-rectangular");
    const model = fourOf(`rectangular, value: 0, half_width: ${Math.sqrt(3)}`);
    const output = side(model, { trials: "adaptive", most: 1_000_000 });
    const { monte_carlo: monte, first_order: first } = output;
    check("y", monte.y);
    check("u", monte.u);
    monte.interval.forEach((end, i) => {
      check("interval_exact", end, expected["interval_exact"][i]);
    });
    first.interval.forEach((end, i) => {
      check("interval_guf", end, expected["interval_guf"][i]);
    });
    expect(output.comparison.too_close).toBe(true);
  });

  it("9.3: mass in air, where first order fails and second order holds", () => {
    const { expected, check } = named("s1-9.3-mass");
    const model = published(massInAir());
    const output = side(model, { trials: "adaptive", for_validation: true, most: 2_000_000 });
    const { first_order: first, monte_carlo: monte } = output;
    check("y_mg", monte.y);
    check("u_first_order", first.u);
    check("u_mcm", monte.u);
    check("u_second_order", first.second_order?.u ?? 0);
    [0, 1].forEach((i) => {
      check("interval_first_order", first.interval[i] ?? 0, expected["interval_first_order"][i]);
      check("interval_second_order", first.second_order?.interval[i] ?? 0, expected["interval_second_order"][i]);
      check("interval_mcm_shortest", monte.interval[i] ?? 0, expected["interval_mcm_shortest"][i]);
    });
    check("delta_ndig1", output.comparison.tolerance);
    expect(output.comparison).toMatchObject({ validated: expected["first_order_validated"], too_close: false });
    expect(output.comparison.statement).toContain("Use the Monte Carlo interval");
    expect(output.second_order_comparison?.validated).toBe(expected["second_order_validated"]);
  });

  it("9.4: comparison loss at and near a stationary point", () => {
    const c = named("s1-9.4-comparison-loss-a");
    (c.inputs["x1"] as number[]).forEach((x1, i) => {
      const model = published(comparisonLoss(x1, c.inputs["u_x1"], c.inputs["x2"], c.inputs["u_x2"]));
      const { first_order: first, monte_carlo: monte, comparison } = side(model, { trials: 1_000_000 });
      c.check("mean", monte.y * 1e6, c.expected["mean"][i]);
      c.check("u", monte.u * 1e6, c.expected["u"][i]);
      c.check("u_first_order", first.u * 1e6, c.expected["u_first_order"][i]);
      c.check("u_second_order", (first.second_order?.u ?? 0) * 1e6, c.expected["u_second_order"][i]);
      [0, 1].forEach((end) => {
        c.check("shortest_mcm", (monte.interval[end] ?? 0) * 1e6, c.expected["shortest_mcm"][i][end]);
        c.check("interval_first_order", (first.interval[end] ?? 0) * 1e6, c.expected["interval_first_order"][i][end]);
      });
      expect(comparison.validated).toBe(false);
    });
  });

  it("9.5: gauge block at 99 %", () => {
    const { expected, check } = named("s1-9.5-gauge-block");
    const model = published(gaugeBlock());
    const { first_order: first, monte_carlo: monte } = side(model, { trials: 1_000_000 });
    check("y_nm", monte.y);
    check("u_guf_nm", first.u);
    check("u_mcm_nm", monte.u);
    [0, 1].forEach((i) => {
      check("interval_guf", first.interval[i] ?? 0, expected["interval_guf"][i]);
      check("interval_mcm_shortest", monte.interval[i] ?? 0, expected["interval_mcm_shortest"][i]);
    });
  });
});

describe("trouble", () => {
  const text = (more: string, model: string) =>
    modelOf(`
title: trouble
inputs:
  a: { distribution: rectangular, value: 1, half_width: 2 }
  b: { distribution: normal, value: 1, u: 1 }
outputs:
  y: { model: "${model}" }
${more}`);

  it("a formula that is not defined everywhere is named, not averaged over", () => {
    const result = runBudget(text("", "sqrt(a) + b"), sfc32(1), { trials: 5000 });
    expect(result).toMatchObject({ ok: false, fault: { code: "bad-file" } });
    expect(runBudget(text("", "b / (a - 1)"), sfc32(1), { trials: 5000 })).toMatchObject({ ok: false });
  });

  it("correlated rectangles are refused: a correlation does not say how they go together", () => {
    const result = monteCarlo(text("correlations:\n  - { between: [a, b], r: 0.5 }\n", "a + b"), sfc32(1));
    expect(result).toMatchObject({ ok: false, fault: { code: "bad-file" } });
    expect(propagateFirstOrder(text("", "a + b")).outputs[0]?.u).toBeCloseTo(Math.sqrt(4 / 3 + 1), 12);
  });

  it.each([999, 1000.5, Number.NaN])("%d trials are refused", (trials) => {
    expect(monteCarlo(text("", "a + b"), sfc32(1), { trials })).toMatchObject({
      ok: false,
      fault: { code: "bad-option" },
    });
  });

  it("correlated normals: the sum by Monte Carlo is that of first order", () => {
    const model = modelOf(`
title: correlated
inputs:
  a: { distribution: normal, value: 1, u: 0.3 }
  b: { distribution: normal, value: 2, u: 0.4 }
outputs:
  s: { model: a + b }
  d: { model: a - b }
correlations:
  - { between: [a, b], r: 0.8 }
`);
    const report = runBudget(model, sfc32(4), { trials: 200_000 });
    if (!report.ok) throw new Error(report.fault.message);
    for (const { first_order, monte_carlo } of report.value.outputs) {
      expect(monte_carlo.u / first_order.u).toBeCloseTo(1, 2);
    }
    expect(budgetText(report.value)).toContain("s and d: r = -0.");
  });
});
