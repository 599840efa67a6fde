import { describe, expect, it } from "vitest";
import { parseBudgetModel } from "../../../src/uncertainty/budget/budget-model.ts";
import { propagateFirstOrder } from "../../../src/uncertainty/budget/first-order.ts";
import { modelOf } from "./budget-fixtures.ts";

const faults = (text: string) => {
  const parsed = parseBudgetModel(text, "model.yaml");
  if (parsed.ok) throw new Error("the model was accepted");
  return parsed.fault.map((f) => `${f.line}:${f.column} ${f.code} ${f.message}`);
};

describe("budget files", () => {
  it("reads every distribution, and JSON as well", () => {
    const model = modelOf(`
title: all shapes
inputs:
  n1: { distribution: normal, value: 1, u: 0.5 }
  n2: { distribution: normal, value: 1, U: 0.5, k: 2, degrees_of_freedom: 12 }
  t: { distribution: t, value: 1, u: 0.5, degrees_of_freedom: 4 }
  r: { distribution: rectangular, value: 1, half_width: 3, degrees_of_freedom: 8 }
  tri: { distribution: triangular, value: 1, half_width: 3 }
  trap: { distribution: trapezoid, value: 1, half_width: 3, beta: 0.5 }
  curved: { distribution: curved-trapezoid, value: 1, half_width: 3, doubt: 0.75 }
  swing: { distribution: arcsine, value: 1, half_width: 3 }
  two: { distribution: constant, value: 2 }
  read: { distribution: readings, readings: [1, 2, 3, 4] }
outputs:
  y: { model: n1 + n2 + t + r + tri + trap + curved + swing + two + read, unit: kPa }
`);
    expect(model.inputs.map((i) => [i.name, Number(i.u.toFixed(6)), i.degrees_of_freedom])).toEqual([
      ["n1", 0.5, Infinity],
      ["n2", 0.25, 12],
      ["t", 0.5, 4],
      ["r", 1.732051, 8],
      ["tri", 1.224745, Infinity],
      ["trap", 1.369306, Infinity],
      ["curved", 1.75, 8],
      ["swing", 2.12132, Infinity],
      ["two", 0, Infinity],
      ["read", 0.645497, 3],
    ]);
    const json = JSON.stringify({
      format: "stillpoint-budget 1",
      title: "t",
      inputs: { a: { distribution: "constant", value: 1 } },
      outputs: { y: { model: "2 * a" } },
    });
    expect(parseBudgetModel(json, "model.json").ok).toBe(true);
  });

  it("says where every mistake stands", () => {
    expect(
      faults(`format: stillpoint-budget 1
title: mistakes
inputs:
  a: { distribution: normal, value: 1, u: 1, U: 2, k: 2 }
  e: { distribution: constant, value: 1 }
  c: { distribution: curved-trapezoid, value: 1, half_width: 1, doubt: 1 }
outputs:
  y: { model: "a + q" }
  a: { model: "a" }
correlations:
  - { between: [a, b], r: 0.3 }
  - { between: [a, a], r: 0.3 }
  - { between: [a, c], r: readings }
`),
    ).toEqual([
      '4:6 contradiction Input "a" needs its standard uncertainty once.',
      '5:3 bad-value "e" has a meaning in formulas.',
      '6:72 contradiction The doubt of "c" is as wide as its half-width.',
      '8:15 bad-value "q" is no input of this model.',
      '9:3 contradiction "a" is the name of an input as well.',
      '11:16 unknown-name "b" is no input.',
      "12:16 contradiction The correlation between a and a is stated twice or with itself.",
      "13:27 contradiction a and c give no correlation from readings.",
    ]);
  });

  it("refuses correlations that cannot all hold, and readings that are no pairs", () => {
    const head = "format: stillpoint-budget 1\ntitle: t\ninputs:\n";
    const three = ["a", "b", "c"].map((n) => `  ${n}: { distribution: normal, value: 0, u: 1 }\n`).join("");
    const outputs = 'outputs:\n  y: { model: "a" }\ncorrelations:\n';
    const r = (x: string, y: string, value: number) => `  - { between: [${x}, ${y}], r: ${value} }\n`;
    const bad = `${head}${three}${outputs}${r("a", "b", 0.9)}${r("b", "c", 0.9)}${r("a", "c", -0.9)}`;
    expect(faults(bad)[0]).toContain("cannot all hold at once");
    const readings = `${head}  a: { distribution: readings, readings: [1, 2, 4] }\n  b: { distribution: readings, readings: [1, 2] }\n`;
    expect(faults(`${readings}${outputs}  - { between: [a, b], r: readings }\n`)[0]).toContain(
      "same number of readings",
    );
  });

  it.each(["", "42", "format: stillpoint-budget 2", "format: stillpoint-budget 1\ntitle: x\ninputs: {}\noutputs: {}"])(
    "refuses %j",
    (text) => {
      expect(faults(text).length).toBeGreaterThan(0);
    },
  );
});

describe("first order", () => {
  it("scales with a change of unit, and grows with one more input", () => {
    const model = (factor: number, more: string) =>
      modelOf(`
title: scale
inputs:
  a: { distribution: normal, value: ${3 * factor}, u: ${0.2 * factor} }
  b: { distribution: rectangular, value: ${2 * factor}, half_width: ${0.1 * factor} }
  c: { distribution: triangular, value: 0, half_width: 0.3 }
outputs:
  y: { model: "2 * a - b ${more}" }
`);
    const u = (factor: number, more = "") => propagateFirstOrder(model(factor, more)).outputs[0]?.u ?? 0;
    expect(u(1024)).toBe(1024 * u(1));
    expect(u(1, "+ c")).toBeGreaterThan(u(1));
  });

  it("with full correlation adds linearly, and cancels in a difference", () => {
    const u = (sign: string, r: number) =>
      propagateFirstOrder(
        modelOf(`
title: correlated
inputs:
  a: { distribution: normal, value: 1, u: 0.3 }
  b: { distribution: normal, value: 1, u: 0.3 }
outputs:
  y: { model: "a ${sign} b" }
correlations:
  - { between: [a, b], r: ${r} }
`),
      ).outputs[0];
    expect(u("+", 1)?.u).toBeCloseTo(0.6, 12);
    expect(u("-", 1)?.u).toBeCloseTo(0, 12);
    expect(u("+", 1)?.degrees_of_freedom).toBeNull();
    expect(u("+", 1)?.k_text).toContain("inputs are correlated");
  });
});
