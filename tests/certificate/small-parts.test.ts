import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { niceTicks } from "../../src/certificate/charts/nice-ticks.ts";
import { exactDecimal } from "../../src/certificate/exact-decimal.ts";
import { givenText } from "../../src/certificate/given-text.ts";
import { ordinalRanges } from "../../src/certificate/ordinal-ranges.ts";
import { wrapLines } from "../../src/certificate/pdf/wrap-lines.ts";
import { makePrint } from "../../src/certificate/sections/section-context.ts";

const byLength = (text: string): number => text.length;

describe("lines", () => {
  it("never leave their width, and lose nothing but spaces", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 120 }), fc.integer({ min: 1, max: 30 }), (text, width) => {
        const lines = wrapLines(text, width, byLength);
        for (const line of lines) expect(line.length).toBeLessThanOrEqual(width + 1);
        expect(lines.join("").replaceAll(/\s/gu, "")).toBe(text.replaceAll(/\s/gu, ""));
      }),
    );
  });

  it("do not part a number from its unit", () => {
    expect(wrapLines("error of 0.25\u00A0kPa", 10, byLength)).toEqual(["error of", "0.25\u00A0kPa"]);
  });

  it("keep serial numbers and short names whole, and part a long word behind its hyphen", () => {
    expect(wrapLines("Larkfield DG-700", 13, byLength)).toEqual(["Larkfield", "DG-700"]);
    expect(wrapLines("by bench-mounted", 9, byLength)).toEqual(["by bench-", "mounted"]);
    expect(wrapLines("TK-2031-0117-0042", 9, byLength)).toEqual(["TK-2031-", "0117-0042"]);
  });

  it("cut a word that is wider than the line", () => {
    expect(wrapLines("abcdefgh", 3, byLength)).toEqual(["abc", "def", "gh"]);
  });
});

describe("ticks", () => {
  it("are round, evenly spaced and cover the values", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e4, max: 1e4, noNaN: true }),
        fc.double({ min: 1e-3, max: 1e4, noNaN: true }),
        fc.integer({ min: 2, max: 10 }),
        (low, width, wanted) => {
          const ticks = niceTicks(low, low + width, wanted);
          expect(ticks.min).toBeLessThanOrEqual(low + 1e-6 * width);
          expect(ticks.max).toBeGreaterThanOrEqual(low + width - 1e-6 * width);
          const values = ticks.texts.map(Number);
          expect(new Set(ticks.texts).size).toBe(values.length);
          expect(values.length).toBeLessThanOrEqual(wanted + 3);
        },
      ),
    );
  });
});

describe("exact values", () => {
  it("get the digits they need and no binary tail", () => {
    expect(exactDecimal(0.1 + 0.2, -1)).toBe("0.3");
    expect(exactDecimal(4, -3)).toBe("4.000");
    expect(exactDecimal(0.125, -1)).toBe("0.125");
  });
});

describe("runs of points", () => {
  it("are drawn together from three on", () => {
    expect(ordinalRanges([1, 2, 3, 7, 9, 10])).toEqual(["1–3", "7", "9", "10"]);
    expect(ordinalRanges([])).toEqual([]);
  });
});

describe("what a contribution was given as", () => {
  it("has calculated figures rounded, written ones as they are, with the mark of the language", () => {
    const en = makePrint("en");
    expect(givenText("s = 0.00173205 kPa, 3 readings worth 2.80312", en)).toBe(
      "s = 0.001 73 kPa, 3 readings worth 2.80",
    );
    expect(givenText("U = 0.04 kPa, k = 2", en)).toBe("U = 0.04 kPa, k = 2");
    expect(givenText("step 2.9e-5 mA", en)).toBe("step 0.000 029 0 mA");
    expect(givenText("half-width 0.1154701 kPa for 12 K", makePrint("de"))).toBe("half-width 0,115 kPa for 12 K");
    expect(givenText("model DG-700.25, 1234567 counts", en)).toBe("model DG-700.25, 1234567 counts");
  });
});
