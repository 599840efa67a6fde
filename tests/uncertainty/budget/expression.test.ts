import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compileModel, evaluate } from "../../../src/uncertainty/budget/compile.ts";
import { derivative, namesIn } from "../../../src/uncertainty/budget/derivative.ts";
import { type Expression, FUNCTION_NAMES, parseExpression } from "../../../src/uncertainty/budget/expression.ts";

const NAMES = ["a", "b", "c"];
const parsed = (text: string): Expression => {
  const result = parseExpression(text, NAMES);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
const at = (a: number, b: number, c: number) => new Map(Object.entries({ a, b, c }));

describe("formulas", () => {
  it.each([
    ["a + b * c", 7],
    ["(a + b) * c", 9],
    ["-a^2", -1],
    ["(-a)^2", 1],
    ["2^3^2", 512],
    ["-b^-2", -0.25],
    ["a - b - c", -4],
    ["c / b / b", 0.75],
    ["+a + ln(exp(c))", 4],
    ["log10(1000) + sqrt(abs(-4)) + sign(-b)", 4],
    ["cos(pi) + e^0", 0],
    ["b^3 + 1e-3", 8.001],
  ])("%s", (text, value) => {
    expect(evaluate(parsed(text), at(1, 2, 3))).toBeCloseTo(value, 12);
  });

  it.each([
    "a +",
    "a b",
    "2 a",
    "a ! ",
    "a % b",
    "foo(a)",
    "sqrt(a, b)",
    "sqrt()",
    "x",
    "a; b",
    "a = 3",
    "a ? b : c",
    "[a, b]",
    '"a"',
    "a.b",
    "a > b",
    "import(a)",
    "constructor",
    "__proto__",
    "toString()",
    "f(x) = x",
    "a:b",
    "",
  ])("refuses %j", (text) => {
    const result = parseExpression(text, NAMES);
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.fault.remedy).toMatch(/Use numbers|Write the multiplication|The inputs are/u);
  });

  it("lets no text of the user into the compiled source", () => {
    // A hand-made tree with a foreign name: the compiler knows places, not names.
    const foreign: Expression = { kind: "name", name: "globalThis.stolen = 1" };
    expect(() => compileModel([foreign], NAMES)).toThrow(RangeError);
    expect(() => compileModel([{ kind: "number", value: Number.POSITIVE_INFINITY }], [])).toThrow(RangeError);
  });

  it("names the inputs it uses", () => {
    expect([...namesIn(parsed("sqrt(a) * -(b ^ a)"))]).toEqual(["a", "b"]);
  });
});

/** Any formula that is smooth around the points used below. */
const anyExpression: fc.Arbitrary<Expression> = fc.letrec<{ node: Expression }>((tie) => ({
  node: fc.oneof(
    { depthSize: "small", withCrossShrink: true },
    fc.constantFrom(...NAMES).map((name): Expression => ({ kind: "name", name })),
    fc.integer({ min: 1, max: 5 }).map((value): Expression => ({ kind: "number", value })),
    fc.record({
      kind: fc.constantFrom("+" as const, "-" as const, "*" as const, "/" as const),
      left: tie("node"),
      right: tie("node"),
    }),
    fc.record({
      kind: fc.constant("^" as const),
      left: tie("node"),
      right: fc.constantFrom(2, 3, -1).map((value): Expression => ({ kind: "number", value })),
    }),
    fc.record({
      kind: fc.constant("call" as const),
      function: fc.constantFrom("exp" as const, "sin" as const, "cos" as const, "atan" as const, "tanh" as const),
      of: tie("node"),
    }),
    tie("node").map((of): Expression => ({ kind: "negate", of })),
  ),
})).node;

describe("derivatives", () => {
  it.each([...FUNCTION_NAMES])("of %s agree with a difference quotient", (name) => {
    const f = parsed(`${name}(a / 2)`);
    const h = 1e-5;
    const quotient = (evaluate(f, at(0.7 + h, 0, 0)) - evaluate(f, at(0.7 - h, 0, 0))) / (2 * h);
    expect(evaluate(derivative(f, "a"), at(0.7, 0, 0))).toBeCloseTo(quotient, 7);
  });

  it("of any power", () => {
    expect(evaluate(derivative(parsed("a^b"), "b"), at(3, 2, 0))).toBeCloseTo(9 * Math.log(3), 12);
    expect(evaluate(derivative(parsed("a^b"), "a"), at(3, 2, 0))).toBeCloseTo(6, 12);
    expect(evaluate(derivative(derivative(parsed("a^2 * b^3"), "a"), "b"), at(3, 2, 0))).toBeCloseTo(72, 12);
  });

  it("agree with difference quotients for any formula", () => {
    const value = fc.double({ min: 0.5, max: 1.5, noNaN: true });
    fc.assert(
      fc.property(anyExpression, value, value, value, (f, a, b, c) => {
        const exact = evaluate(derivative(f, "a"), at(a, b, c));
        const quotient = (h: number) => (evaluate(f, at(a + h, b, c)) - evaluate(f, at(a - h, b, c))) / (2 * h);
        const [coarse, fine] = [quotient(2e-4), quotient(1e-4)];
        // Where the formula is too wild for difference quotients, two of them disagree: nothing can be said there.
        const noise = Math.abs(coarse - fine);
        fc.pre(Number.isFinite(exact) && Number.isFinite(fine) && noise < 1e-5 * (1 + Math.abs(fine)));
        expect(Math.abs(exact - fine)).toBeLessThanOrEqual(noise + 1e-6 * (1 + Math.abs(fine)));
      }),
      { numRuns: 200 },
    );
  });

  it("compiled blocks give what single evaluation gives", () => {
    fc.assert(
      fc.property(anyExpression, (f) => {
        const inputs = NAMES.map((_, i) => Float64Array.of(0.5 + i, 1.1 + i, 0.9));
        const out = new Float64Array(3);
        compileModel([f], NAMES)(3, inputs, [out]);
        for (let k = 0; k < 3; k += 1) {
          const [a, b, c] = inputs.map((x) => x[k] ?? 0);
          expect(out[k]).toBe(evaluate(f, at(a ?? 0, b ?? 0, c ?? 0)));
        }
      }),
    );
  });
});
