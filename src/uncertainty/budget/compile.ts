import { chiSquareQuantile } from "../statistics/chi-square.ts";
import { fQuantile } from "../statistics/f-distribution.ts";
import { logGamma } from "../statistics/log-gamma.ts";
import { normalCdf, normalQuantile } from "../statistics/normal.ts";
import { studentTCdf, studentTQuantile } from "../statistics/student-t.ts";
import type { Expression, FunctionName, TableName } from "./expression.ts";

/**
 * Expressions as machine code: the tree is written out as one JavaScript loop over blocks of trials. Nothing of the
 * user's text gets into that source: names become x0, x1, ... and numbers are printed from finite doubles.
 */
export type BlockModel = (n: number, inputs: readonly Float64Array[], outputs: readonly Float64Array[]) => void;

const CODE: Readonly<Record<FunctionName, string>> = {
  sqrt: "Math.sqrt",
  exp: "Math.exp",
  log: "Math.log",
  log10: "Math.log10",
  sin: "Math.sin",
  cos: "Math.cos",
  tan: "Math.tan",
  asin: "Math.asin",
  acos: "Math.acos",
  atan: "Math.atan",
  sinh: "Math.sinh",
  cosh: "Math.cosh",
  tanh: "Math.tanh",
  abs: "Math.abs",
  sign: "Math.sign",
};

const TABLES: Readonly<Record<TableName, (...figures: readonly number[]) => number>> = {
  normal_quantile: (p = Number.NaN) => normalQuantile(p),
  normal_probability: (z = Number.NaN) => normalCdf(z),
  t_quantile: (p = Number.NaN, dof = Number.NaN) => studentTQuantile(p, dof),
  t_probability: (t = Number.NaN, dof = Number.NaN) => studentTCdf(t, dof),
  chi_square_quantile: (p = Number.NaN, dof = Number.NaN) => chiSquareQuantile(p, dof),
  F_quantile: (p = Number.NaN, above = Number.NaN, below = Number.NaN) => fQuantile(p, above, below),
  gamma: (x = Number.NaN) => Math.exp(logGamma(x)),
};

/** Small whole powers as products: Math.pow takes longer than all the rest of a usual model. */
const powerCode = (base: string, exponent: Expression, names: readonly string[]): string => {
  if (exponent.kind === "number" && exponent.value === 2) return `square(${base})`;
  if (exponent.kind === "number" && exponent.value === 3) return `cube(${base})`;
  return `Math.pow(${base}, ${codeOf(exponent, names)})`;
};

const codeOf = (e: Expression, names: readonly string[]): string => {
  switch (e.kind) {
    case "number":
      if (!Number.isFinite(e.value)) throw new RangeError("a model holds finite numbers only");
      return `(${e.value})`;
    case "name": {
      const at = names.indexOf(e.name);
      if (at < 0) throw new RangeError(`no input ${e.name}`);
      return `v${at}`;
    }
    case "negate":
      return `(-${codeOf(e.of, names)})`;
    case "call":
      return `${CODE[e.function]}(${codeOf(e.of, names)})`;
    case "table":
      return `tables.${e.table}(${e.arguments.map((a) => codeOf(a, names)).join(", ")})`;
    case "^":
      return powerCode(codeOf(e.left, names), e.right, names);
    default:
      return `(${codeOf(e.left, names)} ${e.kind} ${codeOf(e.right, names)})`;
  }
};

const square = (x: number): number => x * x;
const cube = (x: number): number => x * x * x;

/** All outputs of a model for n trials at a time; `names` gives the order of the input arrays. */
export const compileModel = (outputs: readonly Expression[], names: readonly string[]): BlockModel => {
  const lines = [
    '"use strict";',
    ...names.map((_, i) => `const x${i} = inputs[${i}];`),
    ...outputs.map((_, i) => `const y${i} = outputs[${i}];`),
    "for (let i = 0; i < n; i += 1) {",
    ...names.map((_, i) => `const v${i} = x${i}[i];`),
    ...outputs.map((e, i) => `y${i}[i] = ${codeOf(e, names)};`),
    "}",
  ];
  const make = new Function("square", "cube", "tables", `return (n, inputs, outputs) => {${lines.join("\n")}};`);
  return make(square, cube, TABLES) as BlockModel;
};

/** Value of one expression at one set of inputs. */
export const evaluate = (expression: Expression, values: ReadonlyMap<string, number>): number => {
  const names = [...values.keys()];
  const out = new Float64Array(1);
  const inputs = names.map((name) => Float64Array.of(values.get(name) ?? Number.NaN));
  compileModel([expression], names)(1, inputs, [out]);
  return out[0] ?? Number.NaN;
};
