import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { editDistance, nearestWord } from "../../src/vocabulary/nearest-word.ts";

const word = fc.string({ unit: fc.constantFrom(..."abc"), maxLength: 7 });

describe("editDistance", () => {
  it.each([
    ["kitten", "sitting", 3], // the usual textbook pair, common knowledge
    ["gauge", "guage", 1],
    ["span", "span", 0],
    ["Span", "span", 0],
    ["", "zero", 4],
  ])("%s to %s is %d", (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance);
  });

  it("is symmetric, zero for the same word only, and at most the longer length", () => {
    fc.assert(
      fc.property(word, word, (a, b) => {
        expect(editDistance(a, b)).toBe(editDistance(b, a));
        expect(editDistance(a, b) === 0).toBe(a === b);
        expect(editDistance(a, b)).toBeLessThanOrEqual(Math.max(a.length, b.length));
        expect(editDistance(a, b)).toBeGreaterThanOrEqual(Math.abs(a.length - b.length));
      }),
    );
  });
});

describe("nearestWord", () => {
  it("finds a slip and stays silent about strangers", () => {
    expect(nearestWord("uper", ["lower", "upper"])).toBe("upper");
    expect(nearestWord("colour", ["lower", "upper"])).toBeNull();
    expect(nearestWord("x", [])).toBeNull();
  });
});
