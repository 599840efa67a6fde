import { describe, expect, it } from "vitest";
import { makeUnit } from "./generate-traces.ts";
import { SeededRandom } from "./seeded-random.ts";
import { drawKind, publicKinds } from "./unit-family.ts";
import { Disturber, drawUnusual, unusualKinds } from "./unusual.ts";

describe("kinds outside the family", () => {
  it.each(unusualKinds)("%s: the same seed gives the same records, with the truth about each", (kind) => {
    const [first, again] = [makeUnit({ seed: 5, index: 1, kind }), makeUnit({ seed: 5, index: 1, kind })];
    expect(first[2]?.readings).toEqual(again[2]?.readings);
    for (const { truth } of first) expect(truth.ref_hi).toBeGreaterThanOrEqual(truth.ref_lo);
  });

  it("a dip of the supply passes, a slip stays", () => {
    const dips = drawUnusual("supply-dips", new SeededRandom(1)).disturbances;
    const slips = drawUnusual("slipping", new SeededRandom(1)).disturbances;
    if (dips === undefined || slips === undefined) throw new Error("these kinds are made of disturbances");
    let dipped = 0;
    let slipped = 0;
    for (let seed = 0; seed < 20; seed++) {
      const dip = new Disturber(dips, new SeededRandom(2, seed));
      const slip = new Disturber(slips, new SeededRandom(2, seed));
      dip.command();
      slip.command();
      const during = Array.from({ length: 600 }, (_, i) => dip.passing(i / 10, i / 10));
      if (Math.min(...during) === -dips.dip) dipped++;
      expect(dip.passing(60, 60)).toBeCloseTo(0, 12);
      if (slip.lasting(1, 1) !== slip.lasting(30, 30)) slipped++;
      expect(slip.lasting(30, 30)).toBe(slip.lasting(200, 200));
    }
    expect(dipped).toBeGreaterThan(8);
    expect(slipped).toBeGreaterThan(2);
    expect(slipped).toBeLessThan(20);
  });
});

describe("the family", () => {
  it("draws every one of its kinds, by its share of their sum", () => {
    const random = new SeededRandom(3);
    const sum = publicKinds.reduce((total, [, share]) => total + share, 0);
    const drawn = Array.from({ length: 20_000 }, () => drawKind(random));
    for (const [kind, share] of publicKinds) {
      const seen = drawn.filter((k) => k === kind).length / drawn.length;
      expect(Math.abs(seen - share / sum), kind).toBeLessThan(0.01);
    }
  });
});
