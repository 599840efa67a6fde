import { describe, expect, it } from "vitest";
import { handReadRule } from "../../../../src/run/settling/rules/hand-read.ts";
import type { PointStart } from "../../../../src/run/settling/settling-rule.ts";

const START: PointStart = { at_s: 100, from: 0, to: 50, role: "point" };
const READABLE = 0.05;

const kinds = (samples: readonly (readonly [number, number | null])[], start = START): readonly string[] => {
  const rule = handReadRule({ readable_percent: READABLE });
  rule.begin(start);
  return samples.map(([time_s, value]) => rule.take({ time_s, value }).kind);
};

describe("the rule for a gauge that a person reads", () => {
  it("is settled on two readings that agree within what can be read, with what cannot be seen in its uncertainty", () => {
    const rule = handReadRule({ readable_percent: READABLE });
    rule.begin(START);
    expect(rule.take({ time_s: 112, value: 50.02 }).kind).toBe("settling");
    const verdict = rule.take({ time_s: 120, value: 50.06 });
    expect(verdict).toMatchObject({ kind: "settled", from_s: 112, to_s: 120, n_effective: 2 });
    if (verdict.kind !== "settled") return;
    expect(verdict.value).toBeCloseTo(50.04, 12);
    // Rectangular, half-width a: a / sqrt 3; the whole width 2a = 0.05 here. Source: JCGM 100:2008, 4.3.7.
    expect(verdict.u_residual).toBeCloseTo(0.05 / 2 / Math.sqrt(3), 12);
  });

  it("takes nothing that was read too soon after the command, and nothing twice in one breath", () => {
    expect(
      kinds([
        [103, 50],
        [109, 50],
        [111, 50],
        [113, 50],
        [116, 50],
      ]),
    ).toEqual(["moving", "moving", "settling", "settling", "settled"]);
    expect(
      kinds(
        [
          [130, 50],
          [145, 50],
          [152, 50],
        ],
        { ...START, least_s: 40 },
      ).at(-1),
    ).toBe("settled");
    expect(
      kinds(
        [
          [130, 50],
          [138, 50],
        ],
        { ...START, least_s: 40 },
      ),
    ).toEqual(["moving", "moving"]);
  });

  it("begins anew with a reading that disagrees", () => {
    expect(
      kinds([
        [112, 49.5],
        [120, 49.9],
        [128, 50],
        [136, 50.01],
      ]),
    ).toEqual(["settling", "settling", "settling", "settled"]);
  });

  it("waits for a person who was called away, but not for ever", () => {
    expect(
      kinds([
        [112, 50],
        [1000, null],
        [1010, 50],
      ]),
    ).toEqual(["settling", "settling", "settled"]);
    expect(kinds([[2001, null]])).toEqual(["no-new-data"]);
    const climbing = Array.from({ length: 500 }, (_, i) => [112 + 8 * i, i] as const);
    expect(kinds(climbing)).toContain("not-settled");
    expect(kinds(climbing)).not.toContain("settled");
  });
});
