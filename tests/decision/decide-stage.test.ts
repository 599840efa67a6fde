import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { decidePoint, decideStage } from "../../src/decision/decide-stage.ts";
import type { DecisionRule, PointWord } from "../../src/decision/verdict.ts";
import { pointError, stageAnalysis } from "./point-error.ts";

const SIMPLE: DecisionRule = { rule: "simple" };
const GUARDED: DecisionRule = { rule: "guarded", share_of_U: 1 };
const FOUR: DecisionRule = { rule: "four-words", share_of_U: 1 };
const known = (U: number, ordinal = 1, dof = Number.POSITIVE_INFINITY) => ({
  ordinal,
  U_kPa: U,
  k: 2,
  degrees_of_freedom: dof,
});
const word = (error: number, limit: number, U: number, rule: DecisionRule): PointWord =>
  decidePoint(pointError({ error_kPa: error }), known(U), limit, rule).word;

describe("limits are closed (JCGM 106:2012)", () => {
  it.each([
    // limit - w, limit and limit + w are not exact in binary fractions here.
    [0.3, 0.4, 0.1, ["pass", "pass", "pass"]],
    [0.1, 1, 0.9, ["pass", "pass", "pass"]],
    [0.4, 0.4, 0.1, ["pass", "fail", "conditional-pass"]],
    [0.5, 0.4, 0.1, ["fail", "fail", "conditional-fail"]],
    [0.3 + 1e-9, 0.4, 0.1, ["pass", "fail", "conditional-pass"]],
    [0.4 + 1e-9, 0.4, 0.1, ["fail", "fail", "conditional-fail"]],
    [0.5 + 1e-9, 0.4, 0.1, ["fail", "fail", "fail"]],
    [0, 0.4, 0.4, ["pass", "pass", "pass"]],
    [0.8, 0.4, 0.4, ["fail", "fail", "conditional-fail"]],
  ] as const)("error %d, limit %d, U %d", (error, limit, U, words) => {
    for (const e of [error, -error]) {
      expect([SIMPLE, GUARDED, FOUR].map((rule) => word(e, limit, U, rule))).toEqual(words);
    }
  });

  it("decides from unrounded values and shows enough digits to explain itself", () => {
    const stage = decideStage(stageAnalysis([pointError({ error_kPa: 0.2504 })]), [known(0.12)], () => 0.25, SIMPLE);
    expect(stage.word).toBe("fail");
    expect(stage.reasons).toEqual([
      "point 1 (50 % rising, cycle 1): outside the limit: error 0.2504 kPa, limit 0.2500 kPa, U 0.12 kPa",
    ]);
  });
});

describe("no statement", () => {
  it("when U is above the limit, under every rule, however large the error", () => {
    for (const rule of [SIMPLE, GUARDED, FOUR, { rule: "target-risk", risk: 0.05 } as const]) {
      for (const error of [0, 0.39, 5]) expect(word(error, 0.4, 0.41, rule)).toBe("no-statement");
    }
    const stage = decideStage(stageAnalysis([pointError({ error_kPa: 5 })]), [known(0.41)], () => 0.4, GUARDED);
    expect(stage.reasons[0]).toContain("beyond the limit by more than U all the same");
  });

  it("when a guard band larger than U uses the limit up", () => {
    expect(word(0, 0.4, 0.2, { rule: "guarded", share_of_U: 3 })).toBe("no-statement");
  });

  it("when U is not known", () => {
    const stage = decideStage(stageAnalysis([pointError()]), [], () => 0.4, SIMPLE);
    expect(stage).toMatchObject({ word: "no-statement", tur: null });
    expect(stage.points[0]).toMatchObject({ U_kPa: null, acceptance_kPa: null, specific_risk: null });
    expect(stage.reasons[0]).toContain("its uncertainty is not known");
  });

  it("when the output stood at a stop, unless the hidden error is already too large", () => {
    const at = (error: number) =>
      decidePoint(pointError({ error_kPa: error, clipped: "at-zero" }), known(0.1), 0.4, GUARDED).word;
    expect([at(0), at(0.6)]).toEqual(["no-statement", "fail"]);
  });

  it("when a point of the plan gave no reading", () => {
    const stage = decideStage(stageAnalysis([pointError()]), [known(0.1)], () => 0.4, GUARDED, [
      "point 7 (0 % falling)",
    ]);
    expect(stage.word).toBe("no-statement");
    expect(stage.reasons).toEqual(["point 7 (0 % falling): no reading, so there is no statement"]);
  });

  it("when there are no points at all", () => {
    expect(decideStage(stageAnalysis([]), [], () => 0.4, SIMPLE)).toMatchObject({ word: "no-statement", tur: null });
  });
});

describe("a stage", () => {
  it("takes the worst word, each point against the limit at its own ideal output", () => {
    const points = [
      pointError({ ordinal: 1, ideal_kPa: 20, error_kPa: 0.15 }),
      pointError({ ordinal: 2, ideal_kPa: 100, error_kPa: 0.15 }),
    ];
    const known2 = [known(0.02, 1), known(0.05, 2)];
    const stage = decideStage(stageAnalysis(points), known2, (ideal) => 0.005 * ideal, GUARDED);
    expect(stage.points.map((p) => p.word)).toEqual(["fail", "pass"]);
    expect(stage.word).toBe("fail");
    expect(stage.tur).toBeCloseTo(5, 12);
    expect(stage.rule_text).toContain("exactly on a limit is within it");
  });
});

const RANK: Readonly<Record<PointWord, number>> = {
  pass: 0,
  "conditional-pass": 1,
  "conditional-fail": 2,
  fail: 3,
  "no-statement": 4,
};
const anyRule = fc.oneof(
  fc.constant(SIMPLE),
  fc.double({ min: 0, max: 3, noNaN: true }).map((share_of_U): DecisionRule => ({ rule: "guarded", share_of_U })),
  fc.double({ min: 0, max: 3, noNaN: true }).map((share_of_U): DecisionRule => ({ rule: "four-words", share_of_U })),
  fc.double({ min: 1e-6, max: 0.49, noNaN: true }).map((risk): DecisionRule => ({ rule: "target-risk", risk })),
);
const size = fc.double({ min: 0, max: 2, noNaN: true });

describe("properties", () => {
  it("a larger error never gets a better word", () => {
    fc.assert(
      fc.property(size, size, fc.double({ min: 1e-3, max: 2, noNaN: true }), anyRule, (a, b, U, rule) => {
        const [small, large] = [Math.min(a, b), Math.max(a, b)];
        expect(RANK[word(large, 1, U, rule)]).toBeGreaterThanOrEqual(RANK[word(small, 1, U, rule)]);
      }),
    );
  });

  it("a larger U never turns a point into a pass", () => {
    const anyU = fc.double({ min: 1e-3, max: 2, noNaN: true });
    fc.assert(
      fc.property(size, anyU, anyU, anyRule, (error, a, b, rule) => {
        if (word(error, 1, Math.max(a, b), rule) === "pass") expect(word(error, 1, Math.min(a, b), rule)).toBe("pass");
      }),
    );
  });

  it("does not depend on the unit or on the sign of the error", () => {
    fc.assert(
      fc.property(size, fc.double({ min: 1e-3, max: 2, noNaN: true }), anyRule, (error, U, rule) => {
        expect(word(-error, 1, U, rule)).toBe(word(error, 1, U, rule));
        expect(word(error * 1024, 1024, U * 1024, rule)).toBe(word(error, 1, U, rule));
      }),
    );
  });

  it("a pass under target risk keeps the specific risk, also with few degrees of freedom", () => {
    fc.assert(
      fc.property(size, fc.double({ min: 1e-3, max: 1, noNaN: true }), fc.integer({ min: 2, max: 40 }), (e, U, dof) => {
        const rule: DecisionRule = { rule: "target-risk", risk: 0.02 };
        const verdict = decidePoint(pointError({ error_kPa: e }), known(U, 1, dof), 1, rule);
        if (verdict.word === "pass") expect(verdict.specific_risk).toBeLessThanOrEqual(0.02 * (1 + 1e-9));
        if (verdict.word === "fail") expect(verdict.specific_risk).toBeLessThanOrEqual(0.98);
      }),
    );
  });
});
