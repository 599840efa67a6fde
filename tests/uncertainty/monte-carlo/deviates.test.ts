import { describe, expect, it } from "vitest";
import { standardDeviation } from "../../../src/analysis/statistics.ts";
import { choleskyFactor } from "../../../src/uncertainty/monte-carlo/cholesky.ts";
import { Deviates } from "../../../src/uncertainty/monte-carlo/deviates.ts";
import { inputDrawer } from "../../../src/uncertainty/monte-carlo/draw-inputs.ts";
import { sfc32 } from "../../../src/uncertainty/monte-carlo/random-words.ts";
import { normalCdf } from "../../../src/uncertainty/statistics/normal.ts";
import { studentTCdf } from "../../../src/uncertainty/statistics/student-t.ts";
import { modelOf } from "../budget/budget-fixtures.ts";

const N = 200_000;

/** Largest distance between the sample's and the expected distribution function, times sqrt(n): 1.95 is the 0.1 % level. */
const distance = (sample: Float64Array, cdf: (x: number) => number): number => {
  const sorted = sample.toSorted();
  let largest = 0;
  sorted.forEach((x, i) => {
    const p = cdf(x);
    largest = Math.max(largest, Math.abs(p - i / sorted.length), Math.abs(p - (i + 1) / sorted.length));
  });
  return largest * Math.sqrt(sorted.length);
};

/** Trials of one input, as the model file states it. */
const drawn = (input: string): Float64Array => {
  const model = modelOf(`title: t\ninputs:\n  a: { ${input} }\noutputs:\n  y: { model: a }\n`);
  const into = new Float64Array(N);
  inputDrawer(model)(new Deviates(sfc32(11)), [into], N);
  return into;
};

const clamp = (p: number): number => Math.min(1, Math.max(0, p));

describe("random words", () => {
  it("are those of sfc32, written here with whole numbers of any size", () => {
    const mask = 0xffff_ffffn;
    let [a, b, c, n] = [0n, 12_345n, 1n, 1n];
    const next = (): number => {
      const word = (a + b + n) & mask;
      n = (n + 1n) & mask;
      a = b ^ (b >> 9n);
      b = (c + (c << 3n)) & mask;
      c = (((c << 21n) | (c >> 11n)) + word) & mask;
      return Number(word);
    };
    for (let i = 0; i < 15; i += 1) next();
    const words = new Uint32Array(100);
    sfc32(12_345 + 0x1_0000_0000).fill(words);
    expect([...words]).toEqual(Array.from({ length: 100 }, next));
  });
});

describe("deviates follow their distribution (seed fixed, 0.1 % level)", () => {
  it("normal, into the tail that the layers do not cover", () => {
    const z = drawn("distribution: normal, value: 0, u: 1");
    expect(distance(z, normalCdf)).toBeLessThan(1.95);
    const many = new Float64Array(2_000_000);
    new Deviates(sfc32(5)).normals(many, many.length);
    const beyond = many.filter((x) => Math.abs(x) > 3.6541528853610088);
    const expected = 2 * normalCdf(-3.6541528853610088) * many.length;
    expect(Math.abs(beyond.length - expected)).toBeLessThan(3.3 * Math.sqrt(expected));
    expect(distance(beyond.map(Math.abs), (x) => 1 - normalCdf(-x) / normalCdf(-3.6541528853610088))).toBeLessThan(
      1.95,
    );
  });

  it.each([2, 5, 18.5])("t with %d degrees of freedom", (dof) => {
    const t = drawn(`distribution: t, value: 0, u: 1, degrees_of_freedom: ${dof}`);
    expect(distance(t, (x) => studentTCdf(x, dof))).toBeLessThan(1.95);
  });

  it("rectangular, triangular, trapezoid, arcsine", () => {
    const shape = (name: string, more = "") => drawn(`distribution: ${name}, value: 0, half_width: 1${more}`);
    expect(distance(shape("rectangular"), (x) => (x + 1) / 2)).toBeLessThan(1.95);
    const triangle = (x: number) => (x < 0 ? (1 + x) ** 2 / 2 : 1 - (1 - x) ** 2 / 2);
    expect(distance(shape("triangular"), triangle)).toBeLessThan(1.95);
    const flat = (x: number) => {
      const tail = (d: number) => (1 - d) ** 2 / (2 * (1 - 0.5) * 1.5);
      if (x < -0.5) return tail(-x);
      return x > 0.5 ? 1 - tail(x) : 0.5 + x / 1.5;
    };
    expect(distance(shape("trapezoid", ", beta: 0.5"), (x) => clamp(flat(x)))).toBeLessThan(1.95);
    expect(distance(shape("arcsine"), (x) => 0.5 + Math.asin(Math.max(-1, Math.min(1, x))) / Math.PI)).toBeLessThan(
      1.95,
    );
  });

  it("curved trapezoid: within its outer limits, with the standard deviation of JCGM 101:2008, 6.4.3.4", () => {
    const x = drawn("distribution: curved-trapezoid, value: 0, half_width: 1, doubt: 0.5");
    expect(Math.max(...x.subarray(0, 50_000))).toBeLessThanOrEqual(1.5);
    const s = standardDeviation([...x.subarray(0, 50_000)]) ?? 0;
    expect(s).toBeCloseTo(Math.sqrt(1 / 3 + 0.25 / 9), 2);
  });
});

describe("joint normal inputs", () => {
  it("have the correlations that were asked for, also exactly one", () => {
    const model = modelOf(`
title: joint
inputs:
  a: { distribution: normal, value: 1, u: 2 }
  free: { distribution: rectangular, value: 0, half_width: 1 }
  b: { distribution: normal, value: -1, u: 0.5 }
  c: { distribution: normal, value: 0, u: 1 }
outputs:
  y: { model: a + b + c + free }
correlations:
  - { between: [a, b], r: 1 }
  - { between: [a, c], r: -0.6 }
  - { between: [b, c], r: -0.6 }
`);
    const into = model.inputs.map(() => new Float64Array(N));
    inputDrawer(model)(new Deviates(sfc32(3)), into, N);
    const [a, , b, c] = into as [Float64Array, Float64Array, Float64Array, Float64Array];
    const mean = (x: Float64Array) => x.reduce((s, v) => s + v, 0) / N;
    const cov = (x: Float64Array, y: Float64Array) => {
      const [mx, my] = [mean(x), mean(y)];
      return x.reduce((s, v, i) => s + (v - mx) * ((y[i] ?? 0) - my), 0) / N;
    };
    const r = (x: Float64Array, y: Float64Array) => cov(x, y) / Math.sqrt(cov(x, x) * cov(y, y));
    expect(r(a, b)).toBeCloseTo(1, 12);
    expect(r(a, c)).toBeCloseTo(-0.6, 2);
    expect(Math.sqrt(cov(a, a))).toBeCloseTo(2, 1);
    expect(mean(b)).toBeCloseTo(-1, 2);
  });

  it("factor: rebuilds its matrix, refuses what is no correlation matrix", () => {
    const matrix = [
      [1, 0.5, 0.2],
      [0.5, 1, -0.3],
      [0.2, -0.3, 1],
    ];
    const L = choleskyFactor(matrix) ?? [];
    matrix.forEach((row, i) => {
      row.forEach((value, j) => {
        const product = (L[i] ?? []).reduce((s, x, k) => s + x * (L[j]?.[k] ?? 0), 0);
        expect(product).toBeCloseTo(value, 14);
      });
    });
    expect(
      choleskyFactor([
        [1, 1.1],
        [1.1, 1],
      ]),
    ).toBeNull();
    expect(
      choleskyFactor([
        [1, 1, 0],
        [1, 1, 0.5],
        [0, 0.5, 1],
      ]),
    ).toBeNull();
    expect(
      choleskyFactor([
        [1, 1],
        [1, 1],
      ]),
    ).toEqual([
      [1, 0],
      [1, 0],
    ]);
  });
});
