import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { chiSquareCdf, chiSquareQuantile, chiSquareUpperTail } from "../../../src/uncertainty/statistics/chi-square.ts";
import {
  normalBetween,
  normalCdf,
  normalQuantile,
  normalUpperTail,
} from "../../../src/uncertainty/statistics/normal.ts";
import { studentTCdf, studentTQuantile, studentTUpperTail } from "../../../src/uncertainty/statistics/student-t.ts";

/** Quantiles at exact doubles, computed with mpmath 1.3.0 at 40 digits. */
interface Table {
  readonly dof: number;
  readonly quantiles: readonly (readonly [p: number, x: number])[];
}
const reference = JSON.parse(
  readFileSync(new URL("../../../src/app/self-test/cases/quantiles-mpmath.json", import.meta.url), "utf8"),
) as { readonly normal: Table["quantiles"]; readonly t: readonly Table[]; readonly chi_square: readonly Table[] };

const relative = (got: number, wanted: number): number => Math.abs(got - wanted) / Math.abs(wanted);
const worst = (table: Table["quantiles"], quantile: (p: number) => number): number =>
  Math.max(...table.map(([p, x]) => relative(quantile(p), x)));

describe("the normal distribution", () => {
  it("gives quantiles to 1e-14 from p = 1e-300 to 1 - 1e-12", () => {
    expect(worst(reference.normal, normalQuantile)).toBeLessThan(1e-14);
  });

  it("gives both tails to 1e-12 relative", () => {
    for (const [p, z] of reference.normal) {
      // The rounding of z itself moves the tail by z^2 2^-53.
      const allowed = 1e-13 + z * z * 2.3e-16;
      expect(relative(p < 0.5 ? normalCdf(z) : normalUpperTail(z), p < 0.5 ? p : 1 - p)).toBeLessThan(allowed);
    }
    expect(relative(normalBetween(10, 11), normalUpperTail(10) - normalUpperTail(11))).toBeLessThan(1e-12);
    expect(normalBetween(-1, 1)).toBeCloseTo(0.682689492137086, 14);
  });

  it("has plain ends", () => {
    expect([normalQuantile(0), normalQuantile(1), normalQuantile(0.5)]).toEqual([-Infinity, Infinity, 0]);
    expect([normalQuantile(-0.1), normalQuantile(1.1), normalQuantile(Number.NaN)]).toEqual([NaN, NaN, NaN]);
    expect([normalCdf(-Infinity), normalCdf(Infinity), normalCdf(0)]).toEqual([0, 1, 0.5]);
  });
});

describe("Student's t distribution", () => {
  it.each(reference.t.map((t) => [t.dof, t.quantiles] as const))("gives quantiles at %d dof to 1e-11", (dof, table) => {
    expect(worst(table, (p) => studentTQuantile(p, dof))).toBeLessThan(1e-11);
  });

  it("gives the tail back at the reference quantiles", () => {
    for (const { dof, quantiles } of reference.t) {
      for (const [p, t] of quantiles.filter(([q]) => q > 1e-20)) {
        const tail = p < 0.5 ? studentTCdf(t, dof) : studentTUpperTail(t, dof);
        expect(relative(tail, Math.min(p, 1 - p))).toBeLessThan(1e-11);
      }
    }
  });

  it("is the normal distribution at infinitely many, and has plain ends", () => {
    expect(studentTQuantile(0.975, Infinity)).toBe(normalQuantile(0.975));
    expect([studentTQuantile(0, 3), studentTQuantile(1, 3), studentTQuantile(0.5, 3)]).toEqual([
      -Infinity,
      Infinity,
      0,
    ]);
    expect([studentTQuantile(0.5, 0), studentTQuantile(2, 3)]).toEqual([NaN, NaN]);
    expect(studentTQuantile(1e-12, 1e5 * (1 - 1e-12))).toBeCloseTo(studentTQuantile(1e-12, 1e5), 9);
  });

  it("is odd, and inverts its distribution function", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-9, max: 0.499, noNaN: true }),
        fc.double({ min: 1, max: 1e7, noNaN: true }),
        (p, dof) => {
          const t = studentTQuantile(p, dof);
          expect(relative(studentTCdf(t, dof), p)).toBeLessThan(1e-11);
          expect(studentTUpperTail(-t, dof)).toBe(studentTCdf(t, dof));
        },
      ),
    );
  });
});

describe("the chi-square distribution", () => {
  it.each(reference.chi_square.map((t) => [t.dof, t.quantiles] as const))(
    "gives quantiles at %d dof to 1e-11",
    (dof, table) => {
      expect(worst(table, (p) => chiSquareQuantile(p, dof))).toBeLessThan(1e-11);
    },
  );

  it("inverts its distribution function", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-9, max: 1 - 1e-9, noNaN: true }),
        fc.double({ min: 0.5, max: 1e7, noNaN: true }),
        (p, dof) => {
          const x = chiSquareQuantile(p, dof);
          const tail = p < 0.5 ? chiSquareCdf(x, dof) : chiSquareUpperTail(x, dof);
          expect(relative(tail, Math.min(p, 1 - p))).toBeLessThan(1e-8);
        },
      ),
    );
    expect([chiSquareQuantile(0, 3), chiSquareQuantile(1, 3), chiSquareQuantile(2, 3)]).toEqual([0, Infinity, NaN]);
    expect([chiSquareCdf(-1, 3), chiSquareCdf(Infinity, 3)]).toEqual([0, 1]);
  });
});
