import { describe, expect, it } from "vitest";
import type { Watched } from "../../src/app/run-watch.ts";
import { eventLine, liveLines, type ViewOf } from "../../src/cli/live-view.ts";
import { pressureText } from "../../src/cli/pressure-text.ts";
import type { RunEvent } from "../../src/readings/run-event.ts";
import { doingText } from "../../src/run/doing-text.ts";
import { createRunStateReducer, type RunState } from "../../src/run/run-state.ts";
import { percentOfSpan } from "../../src/vocabulary/quantities.ts";
import { pressureAt } from "../../src/vocabulary/signal-range.ts";
import { practiceJob } from "../app/practice-job.ts";

/** The moving view of a run as lines of text: what stands there, and what must not look alive. */
const job = practiceJob();
const { initial } = createRunStateReducer(job.plan);

const view = (width = 100): ViewOf => ({
  unit: "psi",
  title: "HC-15",
  width,
  toPressure: (percent) => pressureAt(job.transfer.output, percentOfSpan(percent)),
});

const watched = (state: Partial<RunState>): Watched => {
  const whole: RunState = { ...initial, ...state };
  return {
    output: { type: "live", at_s: whole.now_s, live: { kind: "making-safe" } },
    state: whole,
    doing: doingText(whole),
  };
};

/** 62.0528 kPa is 9 psi, by 1 psi = 6.894757 kPa (SP 811, appendix B). */
const atMiddle: Partial<RunState> = {
  simulated: true,
  stage: "as-found",
  point: { ordinal: 3, of: 9, direction: "rising", nominal_percent: 50 },
  target_percent: 50,
  set_point: { percent: 50, mA: 12 },
  current_mA: 12.00012,
  supply_kPa: 137.895,
  reading: { kPa: 62.0528, percent: 50.002, at_s: 99.5 },
  slope_percent_per_min: -0.0123,
  now_s: 100,
  share: 0.25,
  left_s: 245,
  doing: { kind: "settling", expected_s: 12 },
};

describe("the moving lines", () => {
  it("say everything a person at the bench looks for", () => {
    const lines = liveLines(watched(atMiddle), view());
    expect(lines[0]).toBe("SIMULATED  HC-15   elapsed 1:40");
    expect(lines[1]).toBe("  as found   point 3 of 9   rising   50 % of span");
    expect(lines[2]).toBe("  target   50 % of span = 9.000 psi");
    expect(lines[3]).toBe("  input    12.000 mA, measured 12.0001 mA   supply 20.000 psi");
    expect(lines[4]).toBe("  reading  9.000 psi   off target +0.00 % of span");
    expect(lines[5]).toBe("  slope    -0.012 % of span a minute");
    expect(lines[6]).toBe(`  ${doingText({ ...initial, ...atMiddle })}`);
    expect(lines[7]).toBe(`  [${"#".repeat(10)}${"-".repeat(30)}] 25 %   about 4:05 left`);
  });

  it("have nothing to say before the first reading, and say so", () => {
    const lines = liveLines(watched({}), view());
    expect(lines[0]).not.toContain("SIMULATED");
    expect(lines.slice(2, 6)).toEqual(["  target   -", "  input    -", "  reading  no reading yet", "  slope    -"]);
  });

  it("do not let an old reading look alive: neither its value nor its distance from the target", () => {
    for (const [now_s, alive] of [
      [102.5, true],
      [102.6, false],
      [160, false],
    ] as const) {
      const reading = liveLines(watched({ ...atMiddle, now_s }), view())[4];
      expect(reading?.includes("9.000 psi")).toBe(alive);
      expect(reading?.includes("off target")).toBe(alive);
      if (!alive) expect(reading).toBe(`  reading  no reading for ${(now_s - 99.5).toFixed(0)} s`);
    }
  });

  it.each([20, 40, 60, 80, 200])("never grow wider than a terminal of %i columns", (width) => {
    for (const line of liveLines(watched(atMiddle), view(width))) expect(line.length).toBeLessThanOrEqual(width);
  });

  it("hold the bar between empty and full", () => {
    for (const [share, wanted] of [
      [-0.1, `[${"-".repeat(40)}]`],
      [0, `[${"-".repeat(40)}]`],
      [1, `[${"#".repeat(40)}]`],
      [1.2, `[${"#".repeat(40)}]`],
    ] as const) {
      expect(liveLines(watched({ ...atMiddle, share }), view())[7]).toContain(wanted);
    }
  });
});

describe("lines that stay", () => {
  const lineOf = (event: RunEvent): string | null =>
    eventLine({ ...watched(atMiddle), output: { type: "record", at_s: 65, event } }, view());

  it("tell how the source was left, and shout when that is not known", () => {
    expect(lineOf({ kind: "source-left", outcome: "safe", current_mA: 4 })).toBe(
      "  1:05  source left safe at 4.000 mA",
    );
    expect(lineOf({ kind: "source-left", outcome: "unknown", current_mA: null, reason: "It did not answer." })).toBe(
      "  1:05  HOW THE SOURCE WAS LEFT IS NOT KNOWN: It did not answer. Shut the supply and switch the source off by hand.",
    );
  });

  it("tell a failed check with what it means and what to do, and an overridden one as overridden", () => {
    const failed = { kind: "preflight-check", check: "vented-zero", outcome: "failed", saw: "2 kPa" } as const;
    const told = { ...failed, means: "Readings are shifted.", remedy: "Vent it." };
    expect(lineOf(told)).toBe("  1:05  check vented zero: failed: 2 kPa Readings are shifted. Vent it.");
    expect(lineOf({ ...told, overridden_by: { name: "A. Person", reason: "known" } })).toMatch(/: overridden: 2 kPa/u);
  });

  it("are not written for what only moves", () => {
    expect(eventLine(watched(atMiddle), view())).toBeNull();
    expect(lineOf({ kind: "commanded", current_mA: 12, confirmed_mA: 12 })).toBeNull();
  });
});

it.each([
  ["psi", 62.0528, "9.000 psi"],
  ["kPa", 60, "60.000 kPa"],
  ["bar", 60, "0.60000 bar"],
  ["Pa", 60, "60000 Pa"],
] as const)("pressures in %s have the digits a gauge shows", (unit, pressure_kPa, text) => {
  expect(pressureText(pressure_kPa, unit)).toBe(text);
});
