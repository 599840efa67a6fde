import { timer } from "rxjs";
import { describe, expect, it } from "vitest";
import { makePlan } from "../../src/plan/make-plan.ts";
import { doingText } from "../../src/run/doing-text.ts";
import { createRunStateReducer, type RunState } from "../../src/run/run-state.ts";
import { kegLimits, kegLine } from "../plan/units.ts";
import { lineLost } from "./fake-bench.ts";
import { type FakeRunOptions, QUICK, runFake } from "./run-fake.ts";

const quickPlan = () => {
  const plan = makePlan(kegLine, kegLimits, QUICK);
  if (!plan.ok) throw new Error(plan.fault.message);
  return plan.value;
};

/** Every state a view would have shown. */
const states = (options: FakeRunOptions): readonly RunState[] => {
  const { initial, reduce } = createRunStateReducer(quickPlan());
  const seen: RunState[] = [initial];
  for (const output of runFake(options).flush().outputs) seen.push(reduce(seen.at(-1) ?? initial, output));
  return seen;
};
const kinds = (all: readonly RunState[]) => new Set(all.map((s) => s.doing.kind));

describe("run state", () => {
  it("tells a whole run with adjusting from beginning to end", () => {
    const all = states({ fake: { zeroError: 1, spanError: -2 } });
    expect([...new Set(all.map((s) => s.stage))]).toEqual([
      null,
      "preflight",
      "exercise",
      "as-found",
      "adjusting",
      "as-left",
    ]);
    const last = all.at(-1);
    expect(last).toMatchObject({ simulated: true, share: 1, left_s: 0, doing: { kind: "ended", ending: "finished" } });
    expect(last?.captured).toHaveLength(10);
    expect(last?.turns).toHaveLength(3);
    expect(last?.adjustment?.outcome).toBe("within-aim");
    expect(last?.source_left?.outcome).toBe("safe");
    expect(last && doingText(last)).toBe("finished; the source is safe");
    for (const kind of [
      "checking",
      "approaching",
      "moving",
      "settling",
      "steady",
      "holding",
      "waiting-for-hand",
      "making-safe",
    ])
      expect(kinds(all)).toContain(kind);
  });

  it("counts points and never goes back but for adjusting", () => {
    const all = states({ fake: { zeroError: 1 } });
    const found = all.filter((s) => s.stage === "as-found" && s.point !== null);
    expect([...new Set(found.map((s) => `${s.point?.ordinal} of ${s.point?.of}`))]).toEqual([
      "1 of 5",
      "2 of 5",
      "3 of 5",
      "4 of 5",
      "5 of 5",
    ]);
    for (const stage of ["as-found", "as-left"]) {
      const shares = all.filter((s) => s.stage === stage).map((s) => s.share);
      expect(shares).toEqual(shares.toSorted((a, b) => a - b));
      expect(Math.max(...shares)).toBeLessThanOrEqual(1);
    }
  });

  it("says what the hand is waited for", () => {
    const asked = states({ fake: { zeroError: 1 } }).find((s) => s.doing.kind === "waiting-for-hand");
    expect(asked && doingText(asked)).toBe("waiting for your hand: turn zero until the gauge shows 20.00 kPa");
  });

  it("shows a lost line, no reading, and a stop", () => {
    const trouble = (t: number) => (t >= 60 && t < 70 ? lineLost : null);
    const all = states({ fake: { trouble }, stop: (scheduler) => timer(65_000, scheduler) });
    const lost = all.findLast((s) => s.doing.kind === "line-lost");
    expect(lost?.no_reading?.code).toBe("line-lost");
    expect(lost && doingText(lost)).toMatch(/^line lost: waiting \d+ s for it to come back$/u);
    expect(all.at(-1)).toMatchObject({ doing: { kind: "ended", ending: "stopped" } });
    expect(all.at(-1)?.share).toBeLessThan(1);
  });

  it("says it aloud when it is not known how the source was left", () => {
    const last = states({ fake: { safe: "unknown" } }).at(-1);
    expect(last && doingText(last)).toContain("NOT KNOWN");
  });
});
