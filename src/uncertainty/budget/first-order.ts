import { effectiveDegreesOfFreedom } from "../combine-contributions.ts";
import { coverageByT } from "../coverage-factor.ts";
import type { BudgetModel, ModelOutput } from "./budget-model.ts";
import { evaluate } from "./compile.ts";
import { derivative } from "./derivative.ts";

/** One input's part in one output. */
export interface BudgetLine {
  readonly input: string;
  readonly value: number;
  readonly u: number;
  readonly degrees_of_freedom: number;
  /** Partial derivative at the estimates. */
  readonly sensitivity: number;
  /** sensitivity * u, with its sign. */
  readonly contribution: number;
}

/** Propagation of uncertainties (JCGM 100:2008, 5) for one output. */
export interface FirstOrder {
  readonly output: string;
  readonly unit: string;
  readonly y: number;
  readonly lines: readonly BudgetLine[];
  readonly u: number;
  /** Effective degrees of freedom; null with correlated inputs, for which the formula does not hold. */
  readonly degrees_of_freedom: number | null;
  readonly k: number;
  readonly k_text: string;
  readonly U: number;
  readonly interval: readonly [low: number, high: number];
  /** With the terms of the next order (5.1.2, note); null when a derivative is no number. */
  readonly second_order: { readonly u: number; readonly interval: readonly [low: number, high: number] } | null;
}

const estimates = (model: BudgetModel): ReadonlyMap<string, number> =>
  new Map(model.inputs.map((input) => [input.name, input.value]));

const linesOf = (model: BudgetModel, output: ModelOutput): readonly BudgetLine[] => {
  const at = estimates(model);
  return model.inputs.map(({ name, value, u, degrees_of_freedom }) => {
    const sensitivity = u === 0 ? 0 : evaluate(derivative(output.expression, name), at);
    return { input: name, value, u, degrees_of_freedom, sensitivity, contribution: sensitivity * u };
  });
};

const covarianceOf = (model: BudgetModel, a: readonly BudgetLine[], b: readonly BudgetLine[]): number => {
  let sum = 0;
  a.forEach((x, i) => {
    b.forEach((y, j) => {
      sum += (model.correlation[i]?.[j] ?? 0) * x.contribution * y.contribution;
    });
  });
  return sum;
};

/**
 * Terms of the next order. With slopes f_i, curvatures f_ij and covariances V_ij they are half the trace of (fV)(fV), and
 * the sum over a, b, c, d of f_a V_ab f_bcd V_cd; for independent inputs that is the sum of [f_ij^2 / 2 + f_i f_ijj]
 * u_i^2 u_j^2 (JCGM 100:2008, 5.1.2, note). The formula is that of normal inputs; it says how much the straight-line
 * picture leaves out.
 */
const secondOrderVariance = (model: BudgetModel, output: ModelOutput): number => {
  const at = estimates(model);
  const moving = model.inputs.flatMap((input, place) => (input.u > 0 ? [{ ...input, place }] : []));
  const V = moving.map((a) => moving.map((b) => (model.correlation[a.place]?.[b.place] ?? 0) * a.u * b.u));
  const slopes = moving.map(({ name }) => derivative(output.expression, name));
  const curves = slopes.map((slope) => moving.map(({ name }) => derivative(slope, name)));
  const curved = curves.map((row) => row.map((e) => evaluate(e, at)));
  /** Row times column over the covariances: (curvature x V)_ij. */
  const spread = curved.map((row) => moving.map((_, j) => row.reduce((sum, c, k) => sum + c * (V[k]?.[j] ?? 0), 0)));
  let sum = 0;
  for (const [i, row] of spread.entries()) {
    for (const [j, value] of row.entries()) sum += 0.5 * value * (spread[j]?.[i] ?? 0);
  }
  for (const [b, row] of curves.entries()) {
    const reach = slopes.reduce((total, slope, a) => {
      const weight = V[a]?.[b] ?? 0;
      return weight === 0 ? total : total + evaluate(slope, at) * weight;
    }, 0);
    if (reach === 0) continue;
    for (const [c, curve] of row.entries()) {
      for (const [d, { name }] of moving.entries()) {
        const covariance = V[c]?.[d] ?? 0;
        if (covariance !== 0) sum += reach * covariance * evaluate(derivative(curve, name), at);
      }
    }
  }
  return sum;
};

const firstOrderOf = (model: BudgetModel, output: ModelOutput): FirstOrder => {
  const y = evaluate(output.expression, estimates(model));
  const lines = linesOf(model, output);
  const variance = Math.max(0, covarianceOf(model, lines, lines));
  const u = Math.sqrt(variance);
  const degrees_of_freedom = model.correlated
    ? null
    : effectiveDegreesOfFreedom(lines.map((l) => ({ ...l, variance: l.contribution ** 2 })));
  const { k, text } =
    model.coverage_factor === undefined
      ? coverageByT(degrees_of_freedom ?? Number.POSITIVE_INFINITY, {
          probability: model.coverage,
          degrees_of_freedom: model.degrees_of_freedom,
          method: "t",
        })
      : { k: model.coverage_factor, text: `k = ${model.coverage_factor}, as agreed` };
  const around = (deviation: number): readonly [number, number] => [y - k * deviation, y + k * deviation];
  const more = variance + secondOrderVariance(model, output);
  const second = Number.isFinite(more) && more >= 0 ? Math.sqrt(more) : null;
  return {
    output: output.name,
    unit: output.unit,
    y,
    lines,
    u,
    degrees_of_freedom,
    k,
    k_text: model.correlated ? `${text}; no effective degrees of freedom, because inputs are correlated` : text,
    U: k * u,
    interval: around(u),
    second_order: second === null ? null : { u: second, interval: around(second) },
  };
};

export interface FirstOrderResult {
  readonly outputs: readonly FirstOrder[];
  /** Correlation between outputs that share inputs (JCGM 100:2008, H.2); null where an uncertainty is zero. */
  readonly correlation: readonly (readonly (number | null)[])[];
}

/** First-order propagation for every output, with what the next order adds. */
export const propagateFirstOrder = (model: BudgetModel): FirstOrderResult => {
  const outputs = model.outputs.map((output) => firstOrderOf(model, output));
  const correlation = outputs.map((a) =>
    outputs.map((b) => (a.u * b.u === 0 ? null : covarianceOf(model, a.lines, b.lines) / (a.u * b.u))),
  );
  return { outputs, correlation };
};
