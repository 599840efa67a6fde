import { runBudget } from "../../uncertainty/budget/run-budget.ts";
import type { TrialChoice } from "../../uncertainty/monte-carlo/monte-carlo.ts";
import { blockSize, numericalTolerance } from "../../uncertainty/monte-carlo/numerical-tolerance.ts";
import { sfc32 } from "../../uncertainty/monte-carlo/random-words.ts";
import { allowed, casesIn } from "./case-files.ts";
import type { CaseResult } from "./check.ts";
import { comparisonLoss, gaugeBlock, massInAir, sumOfFour } from "./models.ts";
import { modelFrom } from "./uncertainty.ts";

type Ends = readonly [number, number];

/** Both methods for the one output of a model. The seed is fixed: the self-test says the same every time. */
const side = (text: string, choice: TrialChoice) => {
  const report = runBudget(modelFrom(text), sfc32(1), choice);
  const [output] = report.ok ? report.value.outputs : [];
  if (output === undefined) throw new Error("a published model gave no output");
  return output;
};

const MILLION: TrialChoice = { trials: 1_000_000 };

/** Propagation of distributions: JCGM 101:2008, 7.9 and 9. */
export const monteCarloCases = (): readonly CaseResult[] => {
  const caseOf = casesIn("monte-carlo-cases", "Monte Carlo");

  const tolerance = caseOf<Readonly<Record<"u" | "ndig", readonly number[]>>, { readonly delta: readonly number[] }>(
    "s1-7.9.2-tolerance",
  );
  tolerance.inputs.u.forEach((u, i) => {
    const wanted = tolerance.expected.delta[i] ?? Number.NaN;
    const got = numericalTolerance(u, tolerance.inputs.ndig[i] === 1 ? 1 : 2);
    tolerance.record.near(`numerical tolerance of ${u}`, got, wanted, allowed(tolerance.tolerance, "delta", wanted));
  });
  const blocks = caseOf<{ readonly p: readonly number[] }, { readonly M: readonly number[] }>("s1-7.9.4-block-size");
  blocks.record.nearAll("block size", blocks.inputs.p.map(blockSize), blocks.expected.M, 0);

  const normal = caseOf<unknown, { readonly u: number; readonly y: number; readonly interval: Ends }>(
    "s1-9.2.2-gaussian",
  );
  {
    const { monte_carlo: got } = side(sumOfFour("normal, value: 0, u: 1"), MILLION);
    normal.record.near("y", got.y, normal.expected.y, allowed(normal.tolerance, "y", 0));
    normal.record.near("u", got.u, normal.expected.u, allowed(normal.tolerance, "u", 0));
    normal.record.nearAll("interval", got.interval, normal.expected.interval, allowed(normal.tolerance, "interval", 0));
  }

  const rectangles = caseOf<
    unknown,
    { readonly u: number; readonly interval_exact: Ends; readonly interval_guf: Ends }
  >("s1-9.2.3-rectangular");
  {
    const shape = `rectangular, value: 0, half_width: ${Math.sqrt(3)}`;
    const { monte_carlo, first_order } = side(sumOfFour(shape), MILLION);
    const { record, expected: e, tolerance: t } = rectangles;
    record.near("u", monte_carlo.u, e.u, allowed(t, "u", 0));
    record.nearAll("Monte Carlo interval", monte_carlo.interval, e.interval_exact, allowed(t, "interval_exact", 0));
    record.nearAll("first-order interval", first_order.interval, e.interval_guf, allowed(t, "interval_guf", 0));
  }

  const mass = caseOf<
    unknown,
    Readonly<Record<"y_mg" | "u_first_order" | "u_mcm" | "u_second_order", number>> &
      Readonly<Record<"interval_first_order" | "interval_mcm_shortest", Ends>> & {
        readonly first_order_validated: boolean;
      }
  >("s1-9.3-mass");
  {
    const { monte_carlo, first_order, comparison } = side(massInAir(), MILLION);
    const { record, expected: e, tolerance: t } = mass;
    record.near("y, mg", monte_carlo.y, e.y_mg, allowed(t, "y_mg", 0));
    record.near("u, first order", first_order.u, e.u_first_order, allowed(t, "u_first_order", 0));
    record.near("u, Monte Carlo", monte_carlo.u, e.u_mcm, allowed(t, "u_mcm", 0));
    record.near("u, second order", first_order.second_order?.u, e.u_second_order, allowed(t, "u_second_order", 0));
    record.nearAll(
      "Monte Carlo interval",
      monte_carlo.interval,
      e.interval_mcm_shortest,
      allowed(t, "interval_mcm_shortest", 0),
    );
    record.nearAll(
      "first-order interval",
      first_order.interval,
      e.interval_first_order,
      allowed(t, "interval_first_order", 0),
    );
    record.same("first order holds", String(comparison.validated), String(e.first_order_validated));
  }

  const loss = caseOf<
    Readonly<Record<"x2" | "u_x1" | "u_x2", number>> & { readonly x1: readonly number[] },
    Readonly<Record<"mean" | "u" | "u_first_order" | "u_second_order", readonly number[]>> & {
      readonly shortest_mcm: readonly Ends[];
    }
  >("s1-9.4-comparison-loss-a");
  loss.inputs.x1.forEach((x1, i) => {
    const { u_x1, x2, u_x2 } = loss.inputs;
    const { monte_carlo, first_order } = side(comparisonLoss(x1, u_x1, x2, u_x2), MILLION);
    const { record, expected: e, tolerance: t } = loss;
    const at = `at x1 = ${x1}, 1e-6`;
    record.near(`mean ${at}`, monte_carlo.y * 1e6, e.mean[i], allowed(t, "mean", 0));
    record.near(`u ${at}`, monte_carlo.u * 1e6, e.u[i], allowed(t, "u", 0));
    record.near(`u, first order, ${at}`, first_order.u * 1e6, e.u_first_order[i], allowed(t, "u_first_order", 0));
    record.nearAll(
      `interval ${at}`,
      monte_carlo.interval.map((v) => v * 1e6),
      e.shortest_mcm[i] ?? [],
      allowed(t, "shortest_mcm", 0),
    );
  });

  const block = caseOf<
    unknown,
    Readonly<Record<"y_nm" | "u_guf_nm" | "u_mcm_nm", number>> &
      Readonly<Record<"interval_guf" | "interval_mcm_shortest", Ends>>
  >("s1-9.5-gauge-block");
  {
    const { monte_carlo, first_order } = side(gaugeBlock(), MILLION);
    const { record, expected: e, tolerance: t } = block;
    record.near("y, nm", monte_carlo.y, e.y_nm, allowed(t, "y_nm", 0));
    record.near("u, first order", first_order.u, e.u_guf_nm, allowed(t, "u_guf_nm", 0));
    record.near("u, Monte Carlo", monte_carlo.u, e.u_mcm_nm, allowed(t, "u_mcm_nm", 0));
    record.nearAll("first-order interval", first_order.interval, e.interval_guf, allowed(t, "interval_guf", 0));
    record.nearAll(
      "Monte Carlo interval",
      monte_carlo.interval,
      e.interval_mcm_shortest,
      allowed(t, "interval_mcm_shortest", 0),
    );
  }
  return [tolerance, blocks, normal, rectangles, mass, loss, block].map((c) => c.record.result());
};
