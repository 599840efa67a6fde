import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { textFaultLine } from "../../src/vocabulary/number-text.ts";
import { pressureUnitNames } from "../../src/vocabulary/pressure-units.ts";
import { parseQuantity, parseQuantityOf, type Quantity } from "../../src/vocabulary/quantity-text.ts";

const read = (text: string): Quantity => {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(textFaultLine(parsed.fault));
  return parsed.value;
};
const refusal = (text: string): string => {
  const parsed = parseQuantity(text);
  return parsed.ok ? `accepted as ${JSON.stringify(parsed.value)}` : textFaultLine(parsed.fault);
};

describe("quantity text that is accepted", () => {
  it.each([
    ["4 mA", { kind: "current", mA: 4 }],
    ["0.004 A", { kind: "current", mA: 4 }],
    ["4000 uA", { kind: "current", mA: 4 }],
    ["20 degC", { kind: "temperature", degC: 20 }],
    ["20 °C", { kind: "temperature", degC: 20 }],
    ["293.15 K", { kind: "temperature", degC: 20 }],
    ["68 degF", { kind: "temperature", degC: 20 }],
    ["30 s", { kind: "duration", s: 30 }],
    ["500 ms", { kind: "duration", s: 0.5 }],
    ["2 min", { kind: "duration", s: 120 }],
    ["1 h", { kind: "duration", s: 3600 }],
    ["0.5 %span", { kind: "percent-of-span", percent: 0.5 }],
    ["0.5 % of span", { kind: "percent-of-span", percent: 0.5 }],
    ["0.1 %reading", { kind: "percent-of-reading", percent: 0.1 }],
    ["0.1 % reading", { kind: "percent-of-reading", percent: 0.1 }],
    ["20 kPa", { kind: "pressure", kPa: 20, unit: "kPa", written: 20 }],
    ["20kPa", { kind: "pressure", kPa: 20 }],
    ["1,5 bar", { kind: "pressure", kPa: 150, written: 1.5 }],
    ["0,125 kPa", { kind: "pressure", kPa: 0.125 }],
    ["12,3456 kPa", { kind: "pressure", kPa: 12.3456 }],
    ["-5 kPa", { kind: "pressure", kPa: -5 }],
    ["\u22125 kPa", { kind: "pressure", kPa: -5 }],
    ["+5 kPa", { kind: "pressure", kPa: 5 }],
    [".5 kPa", { kind: "pressure", kPa: 0.5 }],
    ["1.5e2 Pa", { kind: "pressure", kPa: 0.15 }],
    ["10 inH2O (4 °C)", { kind: "pressure", unit: "inH2O(4degC)" }],
    ["10\u00a0kPa", { kind: "pressure", kPa: 10 }],
  ] as const)("%s", (text, wanted) => {
    const got = read(text);
    for (const [key, value] of Object.entries(wanted)) {
      const found = (got as unknown as Record<string, unknown>)[key];
      if (typeof value === "number") expect(found).toBeCloseTo(value, 10);
      else expect(found).toBe(value);
    }
    expect(got.text).toBe(text.trim());
  });
});

describe("quantity text that is refused, with the remedy", () => {
  it.each([
    ["250", "no unit", "250 kPa or 250 mA"],
    ["kPa", "not a number with a unit", "3 psi"],
    ["", "not a number with a unit", "3 psi"],
    ["many kPa", "not a number with a unit", "3 psi"],
    ["1.013,25 mbar", "more than one decimal", "1013.25"],
    ["1,013.25 mbar", "more than one decimal", "1013.25"],
    ["1,013,250 Pa", "more than one decimal", "no grouping"],
    ["1 013 mbar", "groups its digits", "together"],
    ["1\u202f013 mbar", "groups its digits", "together"],
    ["1'013 mbar", "groups its digits", "together"],
    ["1,013 bar", "may mean 1.013 or 1013", "1013 without the comma"],
    ["3 PSI", "unit PSI", "Write 3 psi."],
    ["3 Psi", "unit Psi", "Write 3 psi."],
    ["20 KPA", "unit KPA", "Write 20 kPa."],
    ["20 kpa", "unit kpa", "Write 20 kPa."],
    ["2 Bar", "unit Bar", "Write 2 bar."],
    ["4 ma", "unit ma", "Write 4 mA."],
    ["30 Sec", "unit Sec", "Write 30 s."],
    ["20 C", "unit C", "Write 20 degC."],
    ["1 kg/cm2", "unit kg/cm2", "Write 1 kgf/cm2."],
    ["3 pis", "unit pis", "Write 3 psi."],
    ["10 inH2O", "reference condition", "inH2O(conventional), inH2O(4degC), inH2O(20degC) or inH2O(60degF)"],
    ["10 inWC", "reference condition", "inH2O(4degC)"],
    ["10 in H2O", "reference condition", "inH2O(4degC)"],
    ["10 mmH2O", "reference condition", "mmH2O(4degC)"],
    ["760 mmHg", "reference condition", "mmHg(0degC)"],
    ["29.9 inHg", "reference condition", "inHg(0degC)"],
    ["3 psig", "hides gauge", "Write 3 psi;"],
    ["14.7 psia", "hides absolute", "Write 14.7 psi;"],
    ["2 bar(g)", "hides gauge", "Write 2 bar;"],
    ["100 kPa abs", "hides absolute", "Write 100 kPa;"],
    ["0.5 %", "does not say of what", "%span or %reading"],
    ["0.5 %FS", "upper range value or of the span", "%span"],
    ["0.5 % of full scale", "upper range value or of the span", "%span"],
    ["-300 degC", "below absolute zero", "sign"],
    ["5 parsec", "unit parsec", "Pressure units are Pa, hPa, kPa"],
    ["3 psi to 15 psi", "unit psi to 15 psi", "Pressure units are"],
  ])("%s", (text, says, remedy) => {
    expect(refusal(text)).toContain(says);
    expect(refusal(text)).toContain(remedy);
  });

  it("never offers what it would refuse again", () => {
    for (const text of ["3 PSI", "20 kpa", "4 ma", "20 C", "1 kg/cm2", "3 psig", "2 bar(g)", "3 pis"]) {
      const parsed = parseQuantity(text);
      const offered = parsed.ok ? "" : (/^Write ([^;.]+)[;.]/u.exec(parsed.fault.remedy)?.[1] ?? "");
      expect(parseQuantity(offered).ok, `${text} -> ${offered}`).toBe(true);
    }
  });
});

describe("parseQuantityOf", () => {
  it("refuses another kind by name", () => {
    const parsed = parseQuantityOf("pressure", "4 mA");
    expect(parsed.ok ? "" : textFaultLine(parsed.fault)).toBe(
      '"4 mA" is a current, but a pressure is wanted here. Write a pressure, such as 3 psi.',
    );
  });

  it("takes any of several kinds", () => {
    for (const text of ["0.5 %span", "0.1 %reading", "50 Pa"])
      expect(parseQuantityOf(["percent-of-span", "percent-of-reading", "pressure"], text).ok).toBe(true);
  });

  it("reads a temperature difference without an offset", () => {
    for (const [text, kelvin] of [
      ["0.2 K", 0.2],
      ["0.2 degC", 0.2],
      ["0.9 degF", 0.5],
    ] as const) {
      const parsed = parseQuantityOf("temperature-difference", text);
      expect(parsed.ok && parsed.value.K).toBeCloseTo(kelvin, 12);
    }
    expect(parseQuantityOf("temperature-difference", "0.2 mA").ok).toBe(false);
  });
});

describe("any number in any unit", () => {
  const numbers = fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((value) => (value === 0 ? 0 : value));

  it("comes back as written, with a point or a comma", () => {
    fc.assert(
      fc.property(numbers, fc.constantFrom(...pressureUnitNames), (value, unit) => {
        const parsed = read(`${value} ${unit}`);
        expect(parsed).toMatchObject({ kind: "pressure", unit, written: value });
        const [whole = "", decimals = ""] = String(value).split(".");
        if (decimals.length === 3 || decimals === "") return;
        expect(read(`${whole},${decimals} ${unit}`)).toMatchObject({ kind: "pressure", written: value });
      }),
    );
  });

  it("is never read from grouped digits", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1000, max: 99_999_999 }),
        fc.constantFrom(",", ".", "'", " ", "\u202f"),
        (value, mark) => {
          const grouped = value.toString().replace(/\B(?=(\d{3})+$)/gu, mark);
          const parsed = parseQuantity(`${grouped} Pa`);
          // One point followed by three digits is the decimal mark of these files and cannot be told from a group.
          if (mark === "." && grouped.split(".").length === 2) return;
          expect(parsed.ok).toBe(false);
        },
      ),
    );
  });

  it("throws at nothing", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 20 }), (text) => {
        const parsed = parseQuantity(text);
        if (!parsed.ok) expect(parsed.fault.message.length * parsed.fault.remedy.length).toBeGreaterThan(0);
      }),
    );
  });
});
