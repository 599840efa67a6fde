import type { Expression, FunctionName } from "./expression.ts";

/** Exact partial derivatives of a model, with the dead branches folded away so that higher orders stay small. */

const num = (value: number): Expression => ({ kind: "number", value });
const ZERO = num(0);
const ONE = num(1);

const isNumber = (e: Expression, value?: number): boolean =>
  e.kind === "number" && (value === undefined || e.value === value);

const plus = (left: Expression, right: Expression): Expression => {
  if (isNumber(left, 0)) return right;
  if (isNumber(right, 0)) return left;
  if (left.kind === "number" && right.kind === "number") return num(left.value + right.value);
  return { kind: "+", left, right };
};

const negate = (of: Expression): Expression => {
  if (of.kind === "number") return num(-of.value);
  return of.kind === "negate" ? of.of : { kind: "negate", of };
};

const minus = (left: Expression, right: Expression): Expression => {
  if (isNumber(right, 0)) return left;
  if (isNumber(left, 0)) return negate(right);
  return { kind: "-", left, right };
};

const times = (left: Expression, right: Expression): Expression => {
  if (isNumber(left, 0) || isNumber(right, 0)) return ZERO;
  if (isNumber(left, 1)) return right;
  if (isNumber(right, 1)) return left;
  if (left.kind === "number" && right.kind === "number") return num(left.value * right.value);
  return { kind: "*", left, right };
};

const over = (left: Expression, right: Expression): Expression => {
  if (isNumber(left, 0)) return ZERO;
  return isNumber(right, 1) ? left : { kind: "/", left, right };
};

const power = (left: Expression, exponent: number): Expression => {
  if (exponent === 0) return ONE;
  return exponent === 1 ? left : { kind: "^", left, right: num(exponent) };
};

const apply = (name: FunctionName, of: Expression): Expression => ({ kind: "call", function: name, of });

/** d f(u) / d u. */
const OUTER: Readonly<Record<FunctionName, (u: Expression) => Expression>> = {
  sqrt: (u) => over(num(0.5), apply("sqrt", u)),
  exp: (u) => apply("exp", u),
  log: (u) => over(ONE, u),
  log10: (u) => over(num(Math.LOG10E), u),
  sin: (u) => apply("cos", u),
  cos: (u) => negate(apply("sin", u)),
  tan: (u) => over(ONE, power(apply("cos", u), 2)),
  asin: (u) => over(ONE, apply("sqrt", minus(ONE, power(u, 2)))),
  acos: (u) => negate(over(ONE, apply("sqrt", minus(ONE, power(u, 2))))),
  atan: (u) => over(ONE, plus(ONE, power(u, 2))),
  sinh: (u) => apply("cosh", u),
  cosh: (u) => apply("sinh", u),
  tanh: (u) => over(ONE, power(apply("cosh", u), 2)),
  abs: (u) => apply("sign", u),
  sign: () => ZERO,
};

const ofPower = (left: Expression, right: Expression, name: string): Expression => {
  const base = derivative(left, name);
  if (right.kind === "number") return times(times(num(right.value), power(left, right.value - 1)), base);
  const exponent = derivative(right, name);
  const whole: Expression = { kind: "^", left, right };
  return plus(
    times(times(right, { kind: "^", left, right: minus(right, ONE) }), base),
    times(times(whole, apply("log", left)), exponent),
  );
};

/** d expression / d name. */
export const derivative = (expression: Expression, name: string): Expression => {
  const d = (e: Expression): Expression => derivative(e, name);
  switch (expression.kind) {
    case "number":
      return ZERO;
    case "name":
      return expression.name === name ? ONE : ZERO;
    case "negate":
      return negate(d(expression.of));
    case "call": {
      const inner = d(expression.of);
      return isNumber(inner, 0) ? ZERO : times(OUTER[expression.function](expression.of), inner);
    }
    case "table":
      // A table is looked up at figures that are known; with an uncertain argument its slope is refused as no number.
      return expression.arguments.every((a) => isNumber(d(a), 0)) ? ZERO : { kind: "/", left: ZERO, right: ZERO };
    case "+":
      return plus(d(expression.left), d(expression.right));
    case "-":
      return minus(d(expression.left), d(expression.right));
    case "*":
      return plus(times(d(expression.left), expression.right), times(expression.left, d(expression.right)));
    case "/": {
      const { left, right } = expression;
      return minus(over(d(left), right), over(times(left, d(right)), power(right, 2)));
    }
    case "^":
      return ofPower(expression.left, expression.right, name);
  }
};

/** Inputs that occur in an expression. */
export const namesIn = (expression: Expression, found: Set<string> = new Set()): ReadonlySet<string> => {
  if (expression.kind === "name") found.add(expression.name);
  if (expression.kind === "table") for (const argument of expression.arguments) namesIn(argument, found);
  if ("of" in expression) namesIn(expression.of, found);
  if ("left" in expression) {
    namesIn(expression.left, found);
    namesIn(expression.right, found);
  }
  return found;
};
