import type { BudgetModel, ModelInput } from "../budget/budget-model.ts";
import type { Distribution } from "../budget/distribution.ts";
import { choleskyFactor } from "./cholesky.ts";
import type { Deviates } from "./deviates.ts";

/** Fills one block of trials for one input. */
type Drawer = (deviates: Deviates, into: Float64Array, n: number) => void;

/** Sum of two rectangles of half-widths a and b is a trapezoid; a = b is a triangle (JCGM 101:2008, 6.4.4, 6.4.5). */
const twoRectangles =
  (value: number, a: number, b: number): Drawer =>
  (deviates, into, n) => {
    deviates.places(into, n);
    for (let i = 0; i < n; i += 1) into[i] = value + a * (into[i] as number) + b * (2 * deviates.uniform() - 1);
  };

const drawer = ({
  value,
  distribution: d,
}: {
  readonly value: number;
  readonly distribution: Distribution;
}): Drawer => {
  switch (d.shape) {
    case "constant":
      return (_deviates, into, n) => into.fill(value, 0, n);
    case "normal":
      return (deviates, into, n) => deviates.normals(into, n, value, d.u);
    case "t":
      return (deviates, into, n) => {
        for (let i = 0; i < n; i += 1) into[i] = value + d.u * deviates.student(d.degrees_of_freedom);
      };
    case "rectangular":
      return (deviates, into, n) => deviates.places(into, n, value, d.half_width);
    case "triangular":
      return twoRectangles(value, d.half_width / 2, d.half_width / 2);
    case "trapezoid":
      return twoRectangles(value, (d.half_width * (1 + d.beta)) / 2, (d.half_width * (1 - d.beta)) / 2);
    case "curved-trapezoid":
      // The half-width itself is drawn, then a place within it (JCGM 101:2008, 6.4.3).
      return (deviates, into, n) => {
        deviates.places(into, n);
        for (let i = 0; i < n; i += 1) {
          into[i] = value + (into[i] as number) * (d.half_width + d.doubt * (2 * deviates.uniform() - 1));
        }
      };
    case "arcsine":
      return (deviates, into, n) => {
        deviates.places(into, n);
        for (let i = 0; i < n; i += 1) into[i] = value + d.half_width * Math.sin(Math.PI * (into[i] as number));
      };
  }
};

/** Inputs that take part in a correlation, by their place in the model. */
const correlatedInputs = (model: BudgetModel): readonly number[] =>
  model.inputs.flatMap((_, i) => (model.correlation[i]?.some((r, j) => i !== j && r !== 0) ? [i] : []));

/** Only normal distributions, and means of readings as such, have a joint distribution that a correlation defines. */
export const cannotBeDrawnJointly = (model: BudgetModel): readonly ModelInput[] =>
  correlatedInputs(model).flatMap((i) => {
    const input = model.inputs[i];
    return input === undefined || input.distribution.shape === "normal" || input.distribution.shape === "t"
      ? []
      : input;
  });

/** Fills one block of trials for all inputs. */
export type InputDrawer = (deviates: Deviates, into: readonly Float64Array[], n: number) => void;

/**
 * Correlated inputs are drawn as joint normal ones by the Cholesky factor of their correlations (JCGM 101:2008, 6.4.8,
 * C.5), the others one by one.
 */
export const inputDrawer = (model: BudgetModel): InputDrawer => {
  const joint = correlatedInputs(model);
  const alone = model.inputs.map((input, i) => (joint.includes(i) ? null : drawer(input)));
  const factor = choleskyFactor(joint.map((i) => joint.map((j) => model.correlation[i]?.[j] ?? 0))) ?? [];
  return (deviates, into, n) => {
    alone.forEach((draw, i) => {
      const block = into[i];
      if (block === undefined) return;
      if (draw === null) deviates.normals(block, n);
      else draw(deviates, block, n);
    });
    // From the last to the first, so that each row still finds the untouched deviates of the rows before it.
    for (let row = joint.length - 1; row >= 0; row -= 1) {
      const place = joint[row] ?? 0;
      const target = into[place];
      const input = model.inputs[place];
      if (target === undefined || input === undefined) continue;
      const sources = joint.slice(0, row + 1).map((i) => into[i] ?? target);
      const weights = (factor[row] ?? []).slice(0, row + 1);
      for (let i = 0; i < n; i += 1) {
        let sum = 0;
        for (let j = 0; j <= row; j += 1) sum += (weights[j] ?? 0) * ((sources[j] as Float64Array)[i] as number);
        target[i] = input.value + input.u * sum;
      }
    }
  };
};
