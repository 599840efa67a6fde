import { describe, expect, it } from "vitest";
import { statedSettling } from "../../src/certificate/settling-stated.ts";
import { de } from "../../src/certificate/texts/de.ts";
import { en } from "../../src/certificate/texts/en.ts";

const exact = (value: number, unit: string): string => `${value} ${unit}`;
const detector = { rule: "detector", limit_percent: 0.05, gamma: 0.15, minimum_dwell_s: 30, timeout_s: 180 };

describe("the settling rule on the certificate", () => {
  it.each([
    [detector, ["0.0075 %", "0.05 %", "30 s"]],
    [{ rule: "fixed-dwell", dwell_s: 55, average_s: 5 }, ["55 s", "5 s"]],
    [{ rule: "band", band_percent: 0.05, window_s: 5, timeout_s: 180 }, ["0.05 %", "5 s"]],
    [{ rule: "slope", slope_percent_per_min: 0.3, window_s: 10, timeout_s: 180 }, ["0.3 %", "10 s"]],
  ])("%j is said with its figures, in both languages", (settling, figures) => {
    const stated = statedSettling({ settling });
    if (stated === null) throw new Error("the rule was not found");
    for (const texts of [en, de]) {
      const said = texts.settlingRule(stated, exact);
      for (const figure of figures) expect(said).toContain(figure);
    }
  });

  it("says nothing of a least wait where there is none, and does not claim steadiness for a fixed wait", () => {
    const stated = statedSettling({ settling: { ...detector, minimum_dwell_s: 0 } });
    expect(stated === null ? "" : en.settlingRule(stated, exact)).not.toContain("not before");
    const fixed = statedSettling({ settling: { rule: "fixed-dwell", dwell_s: 55, average_s: 5 } });
    expect(fixed === null ? "" : en.settlingRule(fixed, exact)).toContain("was not checked");
  });

  it("is left out where a record does not say it", () => {
    for (const plan of [null, {}, { settling: { rule: "by eye" } }, { settling: { rule: "band", window_s: 5 } }])
      expect(statedSettling(plan)).toBeNull();
  });
});
