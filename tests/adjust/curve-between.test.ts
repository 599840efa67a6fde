import { describe, expect, it } from "vitest";
import { bestCompromise, compromiseOver } from "../../src/adjust/best-compromise.ts";
import { type BranchError, errorsBetween } from "../../src/adjust/curve-between.ts";

const limit = (): number => 1;

/** Both branches of a curve with a loop of this width, at these places; closed at the ends. */
const branches = (curve: (x: number) => number, width: number, places: readonly number[]): readonly BranchError[] =>
  (["rising", "falling"] as const).flatMap((direction) =>
    places.map((at_percent) => {
      const side = at_percent === 0 ? 1 : at_percent === 100 ? -1 : direction === "rising" ? -1 : 1;
      return { at_percent, direction, error_kPa: curve(at_percent) + (side * width) / 2, limit_kPa: 1 };
    }),
  );

describe("errorsBetween", () => {
  it("follows a bow exactly where it was not read", () => {
    const bow = (x: number): number => 0.01 * x * (1 - x / 100);
    const drawn = errorsBetween(branches(bow, 0, [0, 25, 50, 75, 100]), limit);
    for (const { at_percent, error_kPa } of drawn) expect(error_kPa).toBeCloseTo(bow(at_percent), 9);
    expect(drawn.some((d) => d.at_percent === 37)).toBe(true);
  });

  it("draws the loop half its width either way, opening after each end", () => {
    const drawn = errorsBetween(
      branches(() => 0.2, 0.1, [0, 25, 50, 75, 100]),
      limit,
    );
    const at = (place: number) => drawn.filter((d) => d.at_percent === place).map((d) => d.error_kPa);
    expect(Math.min(...at(50))).toBeCloseTo(0.15, 9);
    expect(Math.max(...at(50))).toBeCloseTo(0.25, 9);
    expect(Math.min(...at(0))).toBeCloseTo(0.25, 9);
    expect(Math.max(...at(94))).toBeCloseTo(0.25, 3);
    expect(Math.max(...at(99))).toBeLessThan(0.22);
  });

  it("draws nothing from too few places, nor between readings that stand close", () => {
    expect(
      errorsBetween(
        branches(() => 0, 0, [0, 50, 100]),
        limit,
      ),
    ).toEqual([]);
    const close = errorsBetween(
      branches(
        () => 0,
        0,
        Array.from({ length: 51 }, (_, i) => 2 * i),
      ),
      limit,
    );
    expect(close).toEqual([]);
  });
});

describe("compromiseOver", () => {
  it("leaves less between the readings, and never costs the unit its tolerance at one", () => {
    const cubic = (x: number): number => 0.9 * Math.sin((x / 100) * Math.PI * 1.5);
    const points = branches(cubic, 0, [0, 33, 66, 100]);
    const between = errorsBetween(points, limit);
    const alone = bestCompromise(points);
    const over = compromiseOver(points, between);
    const most = (shift: typeof over.shift): number =>
      Math.max(
        ...between.map((b) =>
          Math.abs(b.error_kPa + shift.at_0_kPa + (b.at_percent / 100) * (shift.at_100_kPa - shift.at_0_kPa)),
        ),
      );
    expect(most(over.shift)).toBeLessThan(most(alone.shift));
    const tight = points.map((p) => ({ ...p, limit_kPa: alone.left_kPa * 1.001 }));
    expect(compromiseOver(tight, between).left_share).toBeLessThanOrEqual(1);
  });
});
