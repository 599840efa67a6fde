import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { decisionRuleText, parseDecisionRule, printDecisionRule } from "../../src/decision/decision-rule.ts";
import type { DecisionRule } from "../../src/decision/verdict.ts";

describe("decision rules as text", () => {
  it.each<[string, DecisionRule]>([
    ["simple", { rule: "simple" }],
    ["guarded", { rule: "guarded", share_of_U: 1 }],
    ["guarded 0.83", { rule: "guarded", share_of_U: 0.83 }],
    [" guarded  0.5 U ", { rule: "guarded", share_of_U: 0.5 }],
    ["guarded -1", { rule: "guarded", share_of_U: -1 }],
    ["four-words", { rule: "four-words", share_of_U: 1 }],
    ["four-words 0.83", { rule: "four-words", share_of_U: 0.83 }],
    ["target-risk 2 %", { rule: "target-risk", risk: 0.02 }],
    ["target-risk 2.5%", { rule: "target-risk", risk: 0.025 }],
    ["target-risk 0.05", { rule: "target-risk", risk: 0.05 }],
  ])("reads %j", (text, rule) => {
    expect(parseDecisionRule(text)).toEqual({ ok: true, value: rule });
  });

  it.each([
    "",
    "strict",
    "simple 2",
    "guarded x",
    "guarded 4",
    "guarded -2",
    "four-words -1",
    "target-risk",
    "target-risk 50 %",
    "target-risk 0 %",
    "target-risk 2 % %",
    "guarded 1 2",
    "guarded Infinity",
  ])("refuses %j and says what to write", (text) => {
    const parsed = parseDecisionRule(text);
    expect(parsed).toMatchObject({ ok: false, fault: { kind: "refused", code: "bad-option" } });
    if (!parsed.ok) expect(parsed.fault.remedy).toContain("four-words");
  });

  it("prints what reads back the same", () => {
    const rules = fc.oneof(
      fc.constant<DecisionRule>({ rule: "simple" }),
      fc.integer({ min: -100, max: 300 }).map((n): DecisionRule => ({ rule: "guarded", share_of_U: n / 100 })),
      fc.integer({ min: 0, max: 300 }).map((n): DecisionRule => ({ rule: "four-words", share_of_U: n / 100 })),
      fc.integer({ min: 1, max: 4999 }).map((n): DecisionRule => ({ rule: "target-risk", risk: n / 10000 })),
    );
    fc.assert(
      fc.property(rules, (rule) => {
        expect(parseDecisionRule(printDecisionRule(rule))).toEqual({ ok: true, value: rule });
      }),
    );
  });

  it("says rule, guard band, convention on the limit and risk in plain words", () => {
    for (const text of ["simple", "guarded", "guarded 0.83", "guarded -1", "four-words", "target-risk 2 %"]) {
      const rule = parseDecisionRule(text);
      if (!rule.ok) throw new Error(text);
      const words = decisionRuleText(rule.value);
      expect(words).toContain("exactly on a limit is within it (JCGM 106:2012)");
      expect(words).toMatch(/risk|probability/u);
      expect(words).not.toMatch(/undefined|NaN/u);
    }
    expect(decisionRuleText({ rule: "guarded", share_of_U: 1 })).toContain("below 2.5 %");
    expect(decisionRuleText({ rule: "target-risk", risk: 0.02 })).toContain("at most 2 %");
  });
});
