import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { StageResult } from "../../src/certificate/certificate-input.ts";
import { roundedStage } from "../../src/certificate/rounded-results.ts";
import type { DecisionRule, PointVerdict } from "../../src/decision/verdict.ts";

const SPAN_KPA = 80;

const stage = (points: readonly PointVerdict[], rule: DecisionRule = { rule: "simple" }): StageResult => ({
  analysis: {
    stage: "as-found",
    span_kPa: SPAN_KPA,
    points: points.map((v) => ({
      ordinal: v.ordinal,
      cycle: 1,
      direction: "rising",
      nominal_percent: 50,
      nominal_mA: 12,
      applied_mA: 12.00034,
      applied_from: "measured",
      ideal_kPa: 60,
      output_kPa: 60 + v.error_kPa,
      error_kPa: v.error_kPa,
      error_percent_span: (100 * v.error_kPa) / SPAN_KPA,
      error_percent_reading: null,
      output_at_nominal_kPa: 60 + v.error_kPa,
      clipped: "none",
    })),
    levels: [],
    figures: [],
    remarks: [],
  },
  uncertainties: points.flatMap((v) =>
    v.U_kPa === null
      ? []
      : [
          {
            ordinal: v.ordinal,
            contributions: [],
            u_kPa: v.U_kPa / 2,
            degrees_of_freedom: 50,
            k: 2,
            coverage: 0.95,
            U_kPa: v.U_kPa,
            k_text: "k = 2",
          },
        ],
  ),
  verdict: { stage: "as-found", rule, rule_text: "", points, word: "pass", reasons: [], tur: null },
});

const point = (
  error_kPa: number,
  limit_kPa: number,
  U_kPa: number | null,
  word: PointVerdict["word"],
): PointVerdict => ({
  ordinal: 1,
  error_kPa,
  limit_kPa,
  U_kPa,
  acceptance_kPa: U_kPa === null ? null : limit_kPa,
  word,
  specific_risk: null,
});

const only = (result: StageResult, unit: "kPa" | "psi" = "kPa") => {
  const rounded = roundedStage(result, 16, unit).points[0];
  if (rounded === undefined) throw new Error("no point");
  return rounded;
};

describe("rounded results", () => {
  it("R57: U has two significant digits", () => {
    expect(only(stage([point(0.1, 0.5, 0.2149, "pass")])).in_kPa.U).toBe("0.21");
    expect(only(stage([point(0.1, 0.5, 0.0996, "pass")])).in_kPa.U).toBe("0.10");
  });

  it("R58: the result goes to the last digit of U", () => {
    const rounded = only(stage([point(0.3, 0.5, 0.15, "pass")]));
    expect(rounded.in_kPa.error).toBe("0.30");
    expect(rounded.in_kPa.output).toBe("60.30");
  });

  it("R42: more digits are printed where the rounded figures would suggest another verdict", () => {
    const rounded = only(stage([point(0.2504, 0.25, 0.02, "fail")]));
    expect(rounded.more_digits).toBe(true);
    expect(Number(rounded.in_kPa.error)).toBeGreaterThan(Number(rounded.in_kPa.limit));
    expect(rounded.in_kPa.error).toBe("0.2504");
    expect(only(stage([point(0.24, 0.25, 0.02, "pass")])).more_digits).toBe(false);
  });

  it("R42: whatever the error, the printed error and limit tell the verdict of the unrounded ones", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.2, max: 0.3, noNaN: true }),
        fc.double({ min: 0.005, max: 0.2, noNaN: true }),
        (error, U) => {
          fc.pre(Math.abs(error - 0.25) > 1e-6);
          const word = error <= 0.25 ? "pass" : "fail";
          const { in_kPa } = only(stage([point(error, 0.25, U, word)]));
          expect(Number(in_kPa.error) <= Number(in_kPa.acceptance)).toBe(word === "pass");
        },
      ),
      { numRuns: 300 },
    );
  });

  it("R43: without an uncertainty there is none in print, and no verdict", () => {
    const rounded = only(stage([point(0.1, 0.5, null, "no-statement")]));
    expect(rounded.in_kPa.U).toBeNull();
    expect(rounded.k).toBeNull();
    expect(rounded.word).toBe("no-statement");
  });

  it("R77: texts for data are plain decimals", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: 1e-4, max: 5, noNaN: true }),
        (e, U) => {
          const { in_kPa, in_customer_unit } = only(stage([point(e, 0.5, U, "no-statement")]), "psi");
          for (const texts of [in_kPa, in_customer_unit]) {
            for (const text of Object.values(texts ?? {})) expect(text).toMatch(/^-?\d+(\.\d+)?$/);
          }
        },
      ),
    );
  });

  it("R79: the customer's unit is converted from the unrounded value", () => {
    const rounded = only(stage([point(0.3, 0.5, 0.15, "pass")]), "psi");
    // 1 psi = 6.894757 kPa (NIST SP 811, B.9): 0.3 kPa = 0.04351 psi, U = 0.02176 psi.
    expect(rounded.in_customer_unit).toMatchObject({ error: "0.044", U: "0.022", output: "8.746" });
  });

  it("the applied current shows as many digits as its share of U is worth", () => {
    // U = 0.15 kPa is 0.030 mA at 5 kPa/mA; a current is never printed coarser than 0.001 mA.
    expect(only(stage([point(0.3, 0.5, 0.15, "pass")])).applied_mA).toBe("12.000");
    expect(only(stage([point(0.3, 0.5, 0.0015, "pass")])).applied_mA).toBe("12.00034");
  });
});
