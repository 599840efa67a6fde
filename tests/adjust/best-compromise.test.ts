import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { asItStands, bestCompromise, type ErrorFound } from "../../src/adjust/best-compromise.ts";
import { minimaxLine } from "../../src/analysis/minimax-line.ts";

const at = (at_percent: number, error_kPa: number, limit_kPa = 0.4): ErrorFound => ({
  at_percent,
  error_kPa,
  limit_kPa,
});

describe("bestCompromise", () => {
  it("halves a bow: three points with one height leave half of it everywhere", () => {
    const best = bestCompromise([at(0, 0), at(50, 0.6), at(100, 0)]);
    expect(best.left_kPa).toBeCloseTo(0.3, 9);
    expect(best.shift.at_0_kPa).toBeCloseTo(-0.3, 9);
    expect(best.shift.at_100_kPa).toBeCloseTo(-0.3, 9);
    expect(best.left_share).toBeCloseTo(0.75, 9);
  });

  it("leaves half of the widest loop, whatever zero and span were", () => {
    const points = [0, 25, 50, 75, 100].flatMap((x) => [at(x, 1 + 0.02 * x - 0.1), at(x, 1 + 0.02 * x + 0.1)]);
    expect(asItStands(points).left_kPa).toBeCloseTo(3.1, 9);
    expect(bestCompromise(points).left_kPa).toBeCloseTo(0.1, 9);
  });

  it("agrees with the exact minimax line where the limit is the same everywhere", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ x: fc.integer({ min: 0, max: 20 }), y: fc.double({ min: -2, max: 2, noNaN: true }) }), {
          minLength: 3,
          maxLength: 24,
        }),
        (drawn) => {
          const line = minimaxLine(drawn.map(({ x, y }) => ({ x: 5 * x, y })));
          fc.pre(line !== null);
          const best = bestCompromise(drawn.map(({ x, y }) => at(5 * x, y)));
          // The search allows shifts up to twice the greatest error at either end; steeper lines than any screw makes
          // can be better for points that crowd in one place, and are not compared.
          fc.pre(line !== null && Math.max(Math.abs(line.intercept), Math.abs(line.intercept + 100 * line.slope)) < 2);
          expect(best.left_kPa).toBeCloseTo(line?.max_deviation ?? Number.NaN, 6);
        },
      ),
      { numRuns: 100, seed: 4711, endOnFailure: true },
    );
  });

  it("spends the allowance where it is wide, when the limits differ", () => {
    // One error of 0.3 at each end in opposite ways round the middle: the tight end is favoured.
    const best = bestCompromise([at(0, 0.3, 0.1), at(0, -0.1, 0.1), at(100, 0.3, 1), at(100, -0.3, 1)]);
    expect(best.left_share).toBeCloseTo(2, 9);
    expect(best.shift.at_0_kPa).toBeCloseTo(-0.1, 6);
  });

  it("keeps within what the screws can still do", () => {
    const interplay = { zero: { ratio: 1, u: 0 }, span: { ratio: 0, u: 0 } };
    const points = [at(0, 1), at(50, 1), at(100, 1)];
    const best = bestCompromise(points, { zero_kPa: [-0.4, 0.4], span_kPa: [-2, 2], interplay });
    expect(best.left_kPa).toBeCloseTo(0.6, 6);
  });
});
