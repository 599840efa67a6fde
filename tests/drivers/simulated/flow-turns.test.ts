import { describe, expect, it } from "vitest";
import { createFlowTurns } from "../../../drivers/simulated/flow-turns.ts";
import { createRandom } from "../../../drivers/simulated/physics/random.ts";

const AIM = { floor_kPa: 0.3, sign_kPa: 0.25, span_kPa: 500, shake_percent: 0.03, tries: 15 };

/** A screw at an output that shows nothing below its floor. */
const work = (start_kPa: number, kPaPerTurn: number, seed: number) => {
  const next = createFlowTurns(AIM, createRandom(seed));
  let hidden = start_kPa;
  for (let i = 0; i < 40; i += 1) {
    const move = next(AIM.floor_kPa + Math.max(0, hidden));
    if (move.kind !== "turn") return { move, hidden };
    hidden += kPaPerTurn * move.turns;
  }
  throw new Error("never stopped");
};

describe("createFlowTurns", () => {
  it("raises a hidden zero to the first sign of flow and brings it back to none", () => {
    for (let seed = 0; seed < 20; seed += 1) {
      const { move, hidden } = work(-6, 12, seed);
      expect(move.kind).toBe("let-go");
      expect(hidden).toBeLessThanOrEqual(AIM.sign_kPa);
      expect(hidden).toBeGreaterThan(-AIM.sign_kPa - 0.45);
    }
  });

  it("brings a zero that flows down to none", () => {
    for (let seed = 0; seed < 20; seed += 1) {
      const { move, hidden } = work(7, 12, seed);
      expect(move.kind).toBe("let-go");
      expect(Math.abs(hidden)).toBeLessThan(AIM.sign_kPa + 0.45);
    }
  });

  it("finds out by itself that a screw turns the other way", () => {
    expect(work(7, -12, 1).move.kind).toBe("let-go");
    expect(work(-6, -12, 1).move.kind).toBe("let-go");
  });

  it("says that a screw has no effect", () => {
    expect(work(-6, 0, 1).move.kind).toBe("no-effect");
  });
});
