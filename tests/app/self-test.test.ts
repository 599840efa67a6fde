import { describe, expect, it } from "vitest";
import { caseFile } from "../../src/app/self-test/case-files.ts";
import { recordCase } from "../../src/app/self-test/check.ts";
import { runSelfTest } from "../../src/app/self-test/run-self-test.ts";
import { selfTestText } from "../../src/app/self-test-text.ts";

const ABOUT = { area: "area", id: "id", source: "source", status: "status" };

describe("the self-test", () => {
  const test = runSelfTest();

  it("agrees with every published figure", () => {
    const failed = test.cases.flatMap((c) => c.checks.filter((k) => !k.passed).map((k) => `${c.id}: ${k.what}`));
    expect(failed).toEqual([]);
    expect(test.passed).toBe(true);
  });

  it("names a source at every case and checks something in each", () => {
    for (const c of test.cases) {
      expect(c.source.length, c.id).toBeGreaterThan(5);
      expect(c.checks.length, c.id).toBeGreaterThan(0);
    }
  });

  it("runs the cases that lie with it; what it leaves to the tests is named here", () => {
    const ran = new Set(test.cases.map((c) => c.id));
    const idsOf = (file: string): readonly string[] => {
      const text = caseFile(file) as { readonly cases?: readonly { readonly id: string }[] };
      return ((Array.isArray(text) ? text : (text.cases ?? [])) as readonly { readonly id: string }[]).map((c) => c.id);
    };
    const left = [
      "linearity-cases",
      "hysteresis-cases",
      "analysis-cases",
      "uncertainty-cases",
      "monte-carlo-cases",
      "decision-cases",
      "fit-cases",
      "class-cases",
      "interval-cases",
      "quantiles-cases",
    ].flatMap((file) => idsOf(file).filter((id) => !ran.has(id)));
    expect(left.toSorted()).toEqual(
      [
        // Also in the NIST sets, to all digits.
        "nist-norris",
        "nist-pontius-quadratic",
      ].toSorted(),
    );
  });

  it("prints each figure as wanted and as it came out, and counts", () => {
    const text = selfTestText(test, "0.0.0", "here");
    expect(text).toContain(`${test.cases.length} cases with ${test.checks} figures: all agree.`);
    expect(text).toMatch(/pass {2}gum-4\.4\.3-type-a: JCGM 100:2008, 4\.4\.3, Table 1 \(read in the source\)/u);
    expect(text).not.toContain("FAIL");
  });
});

describe("a check", () => {
  it("fails beyond its tolerance, on no number, and when nothing was checked", () => {
    const far = recordCase(ABOUT);
    far.near("figure", 1.0011, 1, 0.001);
    expect(far.result().passed).toBe(false);
    const edge = recordCase(ABOUT);
    edge.near("figure", 1.001, 1, 0.001);
    expect(edge.result().passed).toBe(true);
    const none = recordCase(ABOUT);
    none.near("figure", Number.NaN, 1, 10);
    expect(none.result().passed).toBe(false);
    expect(recordCase(ABOUT).result().passed).toBe(false);
    const short = recordCase(ABOUT);
    short.nearAll("list", [1], [1, 2], 1);
    expect(short.result().passed).toBe(false);
    const empty = recordCase(ABOUT);
    empty.nearAll("list", [], [], 1);
    expect(empty.result().passed).toBe(false);
  });

  it("that fails is shown and says not to use the installation", () => {
    const bad = recordCase(ABOUT);
    bad.near("figure", 2, 1, 0.5);
    const text = selfTestText(
      { cases: [bad.result()], checks: 1, failed_cases: 1, failed_checks: 1, passed: false },
      "0",
      "x",
    );
    expect(text).toContain("FAIL");
    expect(text).toContain("1 cases with 1 figures DO NOT AGREE");
    expect(text).toContain("Do not use this installation for results");
  });
});
