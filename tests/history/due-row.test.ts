import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addDays } from "../../src/history/calendar-days.ts";
import {
  byDue,
  DUE_DAYS,
  dueState,
  lastOfEachUnit,
  referenceDueRows,
  SOON_DAYS,
  unitDueRow,
} from "../../src/history/due-row.ts";
import { every, factOf } from "./facts.ts";

const TODAY = "2026-11-25";

describe("what is due", () => {
  it.each([
    [-1, "overdue"],
    [0, "due"],
    [DUE_DAYS, "due"],
    [DUE_DAYS + 1, "soon"],
    [SOON_DAYS, "soon"],
    [SOON_DAYS + 1, "later"],
  ])("%i days ahead: %s", (days, state) => expect(dueState({ due: addDays(TODAY, days) }, TODAY)).toBe(state));

  it("a unit by its last finished calibration, whatever the order", () => {
    const facts = [
      ...every(6, [0.1, 0.2, 0.3], "KV-1").map(factOf),
      ...every(6, [0.1], "KV-2").map(factOf),
      factOf({ date: "2026-10-01", found: [0, 0], more: { finished: false } }),
      factOf({ date: "2026-09-01", found: null }),
      factOf({ date: "2026-10-02", found: [0, 0], more: { simulated: true, run_id: "simulated" } }),
    ];
    fc.assert(
      fc.property(fc.shuffledSubarray(facts, { minLength: facts.length }), (shuffled) => {
        expect(
          lastOfEachUnit(shuffled)
            .map((f) => `${f.unit.serial_number} ${f.date} ${f.simulated}`)
            .toSorted(),
        ).toEqual(["KV-1 2025-01-15 false", "KV-1 2026-10-02 true", "KV-2 2024-01-15 false"]);
      }),
    );
  });

  it("says when the last calibration left the unit outside its limits", () => {
    const row = (told: Parameters<typeof factOf>[0]) => {
      const fact = factOf(told);
      return unitDueRow(fact.unit, fact, { months: 6, rests_on: "fixed interval" });
    };
    expect(row({ date: "2026-08-31", found: [0, 0.1] })).toMatchObject({
      due: "2027-02-28",
      last: "2026-08-31",
      interval_months: 6,
      not_accepted: false,
    });
    expect(row({ date: "2026-08-31", found: [0, 0.9] }).not_accepted).toBe(true);
    expect(row({ date: "2026-08-31", found: [0, 0.9], left: [0, 0] }).not_accepted).toBe(false);
    expect(row({ date: "2026-08-31", found: [0, 0.1], more: { adjusted: true } }).not_accepted).toBe(true);
  });

  it("a reference by the latest of its certificates", () => {
    const reference = (due: string, serial_number = "G-7") => ({
      simulated: false,
      reference: { name: "gauge", serial_number, certificate: `C ${due}`, due },
    });
    const rows = referenceDueRows([
      reference("2026-03-01"),
      reference("2027-03-01"),
      reference("2026-09-01"),
      reference("2026-01-01", "G-8"),
    ]);
    expect(rows.map((r) => [r.serial_number, r.due, r.rests_on])).toEqual([
      ["G-8", "2026-01-01", "certificate C 2026-01-01"],
      ["G-7", "2027-03-01", "certificate C 2027-03-01"],
    ]);
    expect(rows.toReversed().toSorted(byDue)).toEqual(rows);
  });
});
