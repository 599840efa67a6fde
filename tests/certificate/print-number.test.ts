import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { printDate } from "../../src/certificate/print-date.ts";
import {
  GROUP_SPACE,
  MINUS,
  NO_BREAK_SPACE,
  plainNumber,
  printNumber,
  printQuantity,
  printUnit,
} from "../../src/certificate/print-number.ts";

const plainDecimal = fc
  .tuple(fc.boolean(), fc.bigInt({ min: 0n, max: 10n ** 12n }), fc.stringMatching(/^\d{0,9}$/))
  .map(([negative, whole, fraction]) => `${negative ? "-" : ""}${whole}${fraction === "" ? "" : `.${fraction}`}`);

describe("numbers on paper", () => {
  it("R72: the decimal mark is that of the language, one kind in a document", () => {
    expect(printNumber("0.25", "en")).toBe("0.25");
    expect(printNumber("0.25", "de")).toBe("0,25");
  });

  // Form of the example 43 279.168 29 of the SI Brochure, 9th edition, 5.4.4 (value from memory).
  it("R73: groups of three by a thin space, no lone fourth digit", () => {
    expect(printNumber("43279.16829", "en")).toBe(`43${GROUP_SPACE}279.168${GROUP_SPACE}29`);
    expect(printNumber("1013.2500", "en")).toBe("1013.2500");
    expect(printNumber("1234567", "de")).toBe(`1${GROUP_SPACE}234${GROUP_SPACE}567`);
  });

  it("R74: a zero stands before the decimal mark, and a text without one is refused", () => {
    expect(printNumber("0.05", "en")).toBe("0.05");
    expect(() => printNumber(".05", "en")).toThrow(/not a plain decimal/);
  });

  it("R75: number and unit never part, neither does a unit of two words", () => {
    expect(printQuantity("21.3", "°C", "en")).toBe(`21.3${NO_BREAK_SPACE}°C`);
    expect(printQuantity("0.5", "% of span", "en")).not.toMatch(/ /);
  });

  it("R76: minus sign in print, no minus before a zero, plain hyphen stays in data", () => {
    expect(printNumber("-0.031", "en")).toBe(`${MINUS}0.031`);
    expect(printNumber("-0.00", "en")).toBe("0.00");
  });

  it("R76: what is printed reads back as the same plain decimal, whatever the number", () => {
    fc.assert(
      fc.property(plainDecimal, fc.constantFrom("en" as const, "de" as const), (plain, language) => {
        const back = plainNumber(printNumber(plain, language), language);
        expect(back).toBe(/[1-9]/.test(plain) ? plain : plain.replace("-", ""));
      }),
    );
  });

  it("refuses what is not a finished decimal text", () => {
    for (const text of ["1e-3", "NaN", "1,5", "", "Infinity", "1.", "--1"]) {
      expect(() => printNumber(text, "en")).toThrow();
    }
  });

  it("R79: a water column keeps its reference temperature", () => {
    expect(printUnit("inH2O(4degC)")).toBe(`inH₂O${NO_BREAK_SPACE}(4${NO_BREAK_SPACE}°C)`);
    expect(printUnit("psi")).toBe("psi");
  });
});

describe("days on paper", () => {
  it("R78: a date cannot be misread", () => {
    expect(printDate("2031-03-04", "en").replaceAll(NO_BREAK_SPACE, " ")).toBe("4 March 2031");
    expect(printDate("2031-03-04", "de").replaceAll(NO_BREAK_SPACE, " ")).toBe("4. März 2031");
  });

  it("refuses what is not a day", () => {
    for (const text of ["04/03/31", "2031-13-01", "2031-3-4", ""]) expect(() => printDate(text, "en")).toThrow();
  });
});
