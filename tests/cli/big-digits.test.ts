import { PassThrough } from "node:stream";
import { describe, expect, it } from "vitest";
import { askKey } from "../../src/cli/ask-key.ts";
import { bigDigits } from "../../src/cli/big-digits.ts";
import { handLines } from "../../src/cli/hand-view.ts";
import type { Streams } from "../../src/cli/streams.ts";
import { makePlan } from "../../src/plan/make-plan.ts";
import { createRunStateReducer, type Doing } from "../../src/run/run-state.ts";
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
    expect(lines.join("\n")).toContain("space = hand off");
    expect(lines.length).toBeGreaterThanOrEqual(9);
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
