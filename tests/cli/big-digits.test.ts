import { PassThrough } from "node:stream";
import { describe, expect, it } from "vitest";
import { askKey } from "../../src/cli/ask-key.ts";
import { bigDigits } from "../../src/cli/big-digits.ts";
import { handLines, turnQuestion } from "../../src/cli/hand-view.ts";
import type { Streams } from "../../src/cli/streams.ts";
import { makePlan } from "../../src/plan/make-plan.ts";
import { createRunStateReducer, type Doing } from "../../src/run/run-state.ts";
import type { TurnCue } from "../../src/run/stages/adjusting-cue.ts";
import { kegLimits, kegLine } from "../plan/units.ts";

describe("bigDigits", () => {
  it("draws five rows that keep their columns when a digit changes", () => {
    const lines = bigDigits("+0.42", 200);
    expect(lines).toHaveLength(5);
    expect(lines?.join("\n")).toContain("█");
    const width = (text: string) => Math.max(...(bigDigits(text, 200) ?? []).map((l) => l.length));
    expect(width("-8.88")).toBe(width("+0.00"));
  });

  it("draws every digit differently", () => {
    const drawn = [..."0123456789+-"].map((c) => bigDigits(c, 200)?.join("\n"));
    expect(new Set(drawn).size).toBe(12);
  });

  it("draws the signs of what to do, each differently", () => {
    const drawn = [..."^vx=?"].map((c) => bigDigits(c, 200)?.join("\n"));
    expect(new Set(drawn).size).toBe(5);
  });

  it("gives nothing where it does not fit or has no glyph", () => {
    expect(bigDigits("+0.420", 20)).toBeNull();
    expect(bigDigits("psi", 200)).toBeNull();
  });
});

describe("handLines", () => {
  const plan = makePlan(kegLine, kegLimits, { points: 3 });
  if (!plan.ok) throw new Error(plan.fault.message);
  const { initial } = createRunStateReducer(plan.value);
  const doing: Doing = {
    kind: "waiting-for-hand",
    screw: "span",
    at_percent: 100,
    target_kPa: 100,
    within_kPa: 0.02,
    why: "",
    cue: { kind: "wait", missing_kPa: 0.4 },
  };

  it("shows how far to go, the screw, and one word", () => {
    const lines = handLines(
      { ...initial, doing, reading: { kPa: 99.6, percent: 99.5, at_s: 1 }, now_s: 1 },
      {
        unit: "kPa",
        width: 100,
      },
    );
    expect(lines.join("\n")).toContain("SPAN   STOP, WAIT   +0.400 kPa to go to 100.000 kPa");
    expect(lines.join("\n")).toContain("space or Enter = hand off");
    expect(lines.length).toBeGreaterThanOrEqual(9);
  });

  it("shows what to do as large as the number, where both fit into 80 columns", () => {
    const rows = (cue: TurnCue, width = 80): readonly string[] =>
      handLines(
        { ...initial, doing: { ...doing, cue }, reading: { kPa: 87.96, percent: 85, at_s: 1 }, now_s: 1 },
        { unit: "kPa", width },
      );
    const up = rows({ kind: "turn", way: "up", missing_kPa: 12.04 });
    expect(Math.max(...up.map((l) => l.length))).toBeLessThanOrEqual(80);
    expect(up).not.toEqual(rows({ kind: "turn", way: "down", missing_kPa: -12.04 }));
    expect(up.slice(0, 6)).not.toEqual(rows({ kind: "wait", missing_kPa: 12.04 }).slice(0, 6));
    // Too narrow for both: the number stays.
    expect(rows({ kind: "turn", way: "up", missing_kPa: 12.04 }, 60).join("\n")).toContain("█");
  });

  it("shows how much flows while zero is set by lift-off", () => {
    const lift_off = { floor_kPa: 0.2, sign_kPa: 0.25 };
    const lines = handLines(
      {
        ...initial,
        doing: { ...doing, screw: "zero", lift_off, cue: { kind: "flow", flow_kPa: 0.4 } },
        reading: { kPa: 0.6, percent: 0.1, at_s: 1 },
        now_s: 1,
      },
      { unit: "kPa", width: 80 },
    );
    expect(lines.join("\n")).toContain("ZERO   FLOWS: BRING IT BACK   +0.400 kPa flow; none is below 0.250 kPa");
    expect(turnQuestion({ screw: "zero", target_kPa: 0.3, within_kPa: 0.1, lift_off }, "kPa")).toContain(
      "first sign of flow, 0.250 kPa above none",
    );
  });

  it("never shows an old number as if it were alive", () => {
    const lines = handLines(
      { ...initial, doing, reading: { kPa: 99.6, percent: 99.5, at_s: 1 }, now_s: 6 },
      {
        unit: "kPa",
        width: 100,
      },
    );
    expect(lines.join("\n")).toContain("NO READING");
    expect(lines.join("\n")).not.toContain("█");
  });

  it("shows nothing while no hand is waited for", () => {
    expect(handLines(initial, { unit: "kPa", width: 100 })).toEqual([]);
  });
});

describe("askKey", () => {
  const streams = () => {
    const input = new PassThrough();
    const talk = new PassThrough();
    const made: Streams = { out: talk, talk, input, live: false, colour: false, canAsk: true, columns: () => 80 };
    return { input, made };
  };
  /** Past the time in which a second press of the same key counts for nothing. */
  const later = () => new Promise((resolve) => setTimeout(resolve, 320));

  it("takes one key, and no other than those offered", async () => {
    const { input, made } = streams();
    const answer = askKey(made, "? ", ["space", "n"]);
    await later();
    input.write("x");
    input.write(" ");
    expect(await answer).toBe("space");
  });

  it("is called off by whoever no longer waits", async () => {
    const off = new AbortController();
    const answer = askKey(streams().made, "? ", ["space"], off.signal);
    off.abort();
    expect(await answer).toBeNull();
  });
});
