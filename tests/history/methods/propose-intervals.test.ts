import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addMonths } from "../../../src/history/calendar-days.ts";
import { carriedMonths, lessonsOf, METHODS, monthsUntil } from "../../../src/history/methods/proposal.ts";
import { historyOf, SETTINGS, type Told } from "../facts.ts";
import { proposals } from "./proposals.ts";

describe("whatever the findings", () => {
  const anyRun = fc.record({
    gap: fc.integer({ min: 1, max: 30 }),
    zero: fc.integer({ min: -700, max: 700 }),
    top: fc.integer({ min: -700, max: 700 }),
    turned: fc.boolean(),
  });
  const anyHistory = fc.array(anyRun, { minLength: 1, maxLength: 9 }).map((runs): readonly Told[] => {
    let months = 0;
    return runs.map(({ gap, zero, top, turned }) => {
      months += gap;
      const date = addMonths("2010-01-31", months);
      return { date, found: [zero / 1000, top / 1000], ...(turned ? { left: [0, 0] as const } : {}) };
    });
  });

  it("no method goes beyond half again the longest time seen through in tolerance, nor below a month", () => {
    fc.assert(
      fc.property(anyHistory, (told) => {
        const history = historyOf(...told);
        const carried = carriedMonths(lessonsOf(history), SETTINGS);
        for (const p of Object.values(proposals(history))) {
          if (p.months === null) continue;
          expect(p.months).toBeGreaterThanOrEqual(1);
          expect(p.months).toBeLessThanOrEqual(carried + 0.1);
          expect(p.next_due).toBe(addMonths(told.at(-1)?.date ?? "", p.months));
        }
      }),
    );
  });

  it("a further finding outside never lengthens what steps by findings", () => {
    fc.assert(
      fc.property(anyHistory, fc.integer({ min: 1, max: 30 }), (told, gap) => {
        const date = addMonths(told.at(-1)?.date ?? "", gap);
        const [before, after] = [historyOf(...told), historyOf(...told, { date, found: [0, 0.9] })].map((h) =>
          proposals(h),
        );
        for (const method of ["staircase", "simple-response"] as const) {
          expect(after?.[method].months ?? 99).toBeLessThanOrEqual(before?.[method].months ?? 0);
        }
      }),
    );
  });

  it("errors and limits in another unit give the same intervals, but for a day at an edge", () => {
    fc.assert(
      fc.property(anyHistory, fc.constantFrom(0.125, 8, 64), (told, factor) => {
        const times = (pair: readonly [number, number]): readonly [number, number] => [
          factor * pair[0],
          factor * pair[1],
        ];
        const scaled = told.map((t) => ({
          ...t,
          found: t.found === null ? null : times(t.found),
          ...(t.left === undefined ? {} : { left: times(t.left) }),
          limit: 0.5 * factor,
        }));
        const [plain, other] = [historyOf(...told), historyOf(...scaled)].map((h) => proposals(h));
        // Factors of two are exact in binary, so nothing is rounded otherwise.
        for (const m of METHODS) expect(other?.[m].months, m).toBe(plain?.[m].months);
      }),
    );
  });
});

describe("whole months", () => {
  it("never run beyond the day", () => {
    expect(monthsUntil("2026-01-31", "2026-02-27")).toBe(0);
    expect(monthsUntil("2026-01-31", "2026-02-28")).toBe(1);
    expect(monthsUntil("2026-01-15", "2027-01-14")).toBe(11);
    expect(monthsUntil("2026-01-15", "2027-01-15")).toBe(12);
    expect(monthsUntil("2026-01-15", "2026-01-15")).toBe(0);
  });
});
