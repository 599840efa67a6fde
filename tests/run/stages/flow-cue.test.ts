import { describe, expect, it } from "vitest";
import { flowCue } from "../../../src/run/stages/flow-cue.ts";

const SETTINGS = { floor_kPa: 0.2, sign_kPa: 0.25, span_kPa: 500, lag_s: 1, asked_at_s: 0 };
const samples = (...flows: readonly number[]) => flows.map((flow, i) => ({ at_s: 0.1 * (i + 1), kPa: 0.2 + flow }));

describe("flowCue", () => {
  it("asks for zero to be raised while nothing flows", () => {
    expect(flowCue(samples(0, 0.01, -0.01), SETTINGS)).toMatchObject({ kind: "no-flow" });
  });

  it("says that it flows with the very reading that shows it: the cue lags no more than the gauge", () => {
    const before = samples(0, 0.01, 0, 0.01, 0);
    expect(flowCue(before, SETTINGS)?.kind).toBe("no-flow");
    expect(flowCue([...before, { at_s: 0.6, kPa: 0.2 + 0.4 }], SETTINGS)).toMatchObject({ kind: "flow" });
  });

  it("lets the hand off with the first reading that shows none again", () => {
    const flowed = samples(0, 0.4, 0.42, 0.41, 0.4, 0.41, 0.4, 0.41, 0.4, 0.41, 0.4);
    expect(flowCue(flowed, SETTINGS)?.kind).toBe("flow");
    expect(flowCue([...flowed, { at_s: 1.2, kPa: 0.2 + 0.2 }], SETTINGS)?.kind).toBe("hand-off");
  });

  it("stops the hand while the air still runs out towards none", () => {
    // 0.5 kPa/s down from 0.8: within one lag it is at 0.3 less.
    const running = samples(...Array.from({ length: 10 }, (_, i) => 0.8 - 0.05 * i));
    expect(flowCue(running, SETTINGS)?.kind).toBe("wait");
    expect(flowCue(running, { ...SETTINGS, lag_s: 0.05 })?.kind).toBe("flow");
  });

  it("says so when nothing ever flows", () => {
    const dead = Array.from({ length: 460 }, (_, i) => ({ at_s: 0.1 * i, kPa: 0.2 }));
    expect(flowCue(dead, SETTINGS)?.kind).toBe("nothing-moves");
  });
});
