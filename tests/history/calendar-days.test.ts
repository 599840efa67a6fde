import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  addDays,
  addMonths,
  DAYS_PER_MONTH,
  dayNumber,
  dayOfNumber,
  daysBetween,
  isDay,
} from "../../src/history/calendar-days.ts";

const anyDay = fc.integer({ min: -700_000, max: 2_900_000 });
/** The language's own calendar (ECMA-262, proleptic Gregorian). */
const byEngine = (number: number): string => new Date(number * 86_400_000).toISOString().slice(0, 10);

describe("days", () => {
  it("count as the calendar of the language counts them, both ways", () => {
    fc.assert(
      fc.property(anyDay, (number) => {
        const day = byEngine(number);
        fc.pre(/^\d{4}-/u.test(day));
        expect(dayNumber(day)).toBe(number);
        expect(dayOfNumber(number)).toBe(day);
        expect(isDay(day)).toBe(true);
      }),
    );
  });

  it("know leap days", () => {
    expect(daysBetween("2000-02-28", "2000-03-01")).toBe(2);
    expect(daysBetween("1900-02-28", "1900-03-01")).toBe(1);
    expect(isDay("2000-02-29")).toBe(true);
    for (const wrong of ["1900-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "2026-4-3", "", "2026-04-03T00:00"]) {
      expect(isDay(wrong), wrong).toBe(false);
    }
  });

  it("a month later is the same day, or the last of a shorter month", () => {
    expect(addMonths("2026-08-31", 6)).toBe("2027-02-28");
    expect(addMonths("2027-08-31", 6)).toBe("2028-02-29");
    expect(addMonths("2026-11-15", 2)).toBe("2027-01-15");
    expect(addMonths("2026-01-15", -1)).toBe("2025-12-15");
    expect(addDays("2026-12-31", 1)).toBe("2027-01-01");
  });

  it("so many months are so many days on average: 400 years", () => {
    expect(daysBetween("1600-01-01", "2000-01-01")).toBe(4800 * DAYS_PER_MONTH);
  });
});
