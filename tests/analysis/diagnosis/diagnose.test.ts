import { describe, expect, it } from "vitest";
import { CAUSES } from "../../../src/analysis/diagnosis/causes.ts";
import { diagnose, diagnosisLines } from "../../../src/analysis/diagnosis/diagnose.ts";
import type { CurveEvidence, Evidence } from "../../../src/analysis/diagnosis/evidence.ts";
import { benchDiagnosis } from "../../benchmarks/explaining/diagnosis-bench.ts";

const curve: CurveEvidence = {
  zero_percent: 0.1,
  span_percent: -0.1,
  bend_percent: 0.05,
  hysteresis_percent: 0.1,
  top_short_percent: 0,
  slope: 1,
  lower_kPa: 20,
  upper_kPa: 100,
};

const nothing: Evidence = {
  tolerance_percent: 0.5,
  curve: null,
  step_up: null,
  step_down: null,
  small_step: null,
  leak_percent_per_min: null,
  dead_band_percent: null,
  holds: [],
  supply: null,
  current_off_mA: null,
};

const first = (more: Partial<Evidence>) => diagnose({ ...nothing, ...more }).opinions[0];

describe("diagnose", () => {
  it("finds no fault in a unit within its limits, and says what was not looked at", () => {
    const diagnosis = diagnose({ ...nothing, curve });
    expect(diagnosis.opinions).toEqual([]);
    const text = diagnosisLines(diagnosis).join("\n");
    expect(text).toContain(
      "no fault found: the unit is within its limits in what was tested; look elsewhere in the loop",
    );
    expect(text).toContain("not looked at: step response, leak, dead band, hold, supply, loop current");
  });

  it("marks itself as opinion and never says pass or fail", () => {
    const text = diagnosisLines(diagnose({ ...nothing, curve: { ...curve, zero_percent: 2 } })).join("\n");
    expect(text).toContain("Opinion (ISO/IEC 17025, 7.8.7)");
    expect(text).toContain("no verdict");
    for (const { words } of CAUSES) expect(words).not.toMatch(/\b(pass|passes|fail|fails|failed)\b/iu);
  });

  it("gives the figures behind it", () => {
    expect(first({ curve: { ...curve, zero_percent: 2 } })).toMatchObject({
      cause: "zero-off",
      figures: "zero error +2.00 %",
      strength: 4,
    });
  });

  it("tells a unit of another standard range from one whose screws are off", () => {
    // 3 to 15 psi is 20.684 to 103.421 kPa: zero +0.855 %, span +3.42 % of the 80 kPa of 20 to 100 kPa.
    expect(first({ curve: { ...curve, zero_percent: 0.855, span_percent: 3.42 } })).toMatchObject({
      cause: "wrong-range",
    });
    expect(first({ curve: { ...curve, zero_percent: 0.855, span_percent: 1.5 } })?.cause).toBe("span-off");
  });

  it("names the root and leaves out what follows from it", () => {
    const off = { ...curve, zero_percent: 2, span_percent: -3 };
    const { opinions } = diagnose({ ...nothing, curve: off, current_off_mA: 0.3 });
    expect(opinions.map((o) => o.cause)).toEqual(["loop-current"]);
  });

  it("names the planted fault first, and none in sound units", () => {
    const figures = benchDiagnosis(2);
    expect(figures.right).toBeGreaterThanOrEqual(0.85);
    expect(figures.sound_right).toBe(1);
  });
});
