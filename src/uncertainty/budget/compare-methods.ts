import { figureText } from "../bench-facts.ts";
import type { MonteCarloOutput } from "../monte-carlo/monte-carlo.ts";
import { numericalTolerance } from "../monte-carlo/numerical-tolerance.ts";
import type { FirstOrder } from "./first-order.ts";

/** Whether an interval from the propagation of uncertainties holds against Monte Carlo (JCGM 101:2008, 8.1). */
export interface Comparison {
  /** Numerical tolerance of u with the digits that count. */
  readonly tolerance: number;
  readonly d_low: number;
  readonly d_high: number;
  /** Both distances are within the tolerance. */
  readonly validated: boolean;
  /** The larger distance is nearer to the tolerance than the trials can tell: another seed may say the other thing. */
  readonly too_close: boolean;
  readonly statement: string;
}

const statementOf = (c: Omit<Comparison, "statement">, method: string, unit: string): string => {
  const [low, high, tolerance] = [c.d_low, c.d_high, c.tolerance].map(figureText);
  const after = unit === "1" ? "" : ` ${unit}`;
  const distances = `its ends lie ${low} and ${high}${after} from those of Monte Carlo, the tolerance is ${tolerance}${after}`;
  const close = c.too_close ? " This is too close to call: another seed may say the other thing." : "";
  return c.validated
    ? `The ${method} interval holds: ${distances}.${close}`
    : `The ${method} interval does not hold: ${distances}. Use the Monte Carlo interval.${close}`;
};

/** Compares one interval around the estimate with the Monte Carlo interval of the same probability. */
const compareWithMonteCarlo = (
  method: "first-order" | "second-order",
  u: number,
  interval: readonly [number, number],
  monte: MonteCarloOutput,
  digits: 1 | 2,
): Comparison => {
  const tolerance = numericalTolerance(u, digits);
  const d_low = Math.abs(interval[0] - monte.interval[0]);
  const d_high = Math.abs(interval[1] - monte.interval[1]);
  const larger = Math.max(d_low, d_high);
  const parts = {
    tolerance,
    d_low,
    d_high,
    validated: larger <= tolerance,
    too_close: Math.abs(larger - tolerance) <= (monte.numerical_doubt ?? 0),
  };
  return { ...parts, statement: statementOf(parts, method, monte.unit) };
};

export interface MethodsSideBySide {
  readonly first_order: FirstOrder;
  readonly monte_carlo: MonteCarloOutput;
  readonly comparison: Comparison;
  /** null where there are no second-order terms. */
  readonly second_order_comparison: Comparison | null;
}

export const sideBySide = (first: FirstOrder, monte: MonteCarloOutput, digits: 1 | 2): MethodsSideBySide => ({
  first_order: first,
  monte_carlo: monte,
  comparison: compareWithMonteCarlo("first-order", first.u, first.interval, monte, digits),
  second_order_comparison:
    first.second_order === null
      ? null
      : compareWithMonteCarlo("second-order", first.second_order.u, first.second_order.interval, monte, digits),
});
