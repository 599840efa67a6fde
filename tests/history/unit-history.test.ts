import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { unitHistories } from "../../src/history/unit-history.ts";
import { every, factOf, historyOf, type Told } from "./facts.ts";

describe("calibrations to histories", () => {
  const told: readonly Told[] = [
    ...every(6, [0.1, 0.2, 0.3], "KV-1"),
    ...every(6, [0, 0.1], "KV-2"),
    ...every(6, [0.4, 0.4], "KV-1", "2027-01-15").map((t) => ({ ...t, more: { simulated: true } })),
  ];

  it("one a unit, and simulated runs of a serial number never join real ones", () => {
    const histories = unitHistories(told.map(factOf));
    expect(histories.map((h) => [h.unit.serial_number, h.simulated, h.findings.length])).toEqual([
      ["KV-1", false, 3],
      ["KV-1", true, 2],
      ["KV-2", false, 2],
    ]);
  });

  it("do not mind the order, nor a run handed in twice", () => {
    const straight = unitHistories(told.map(factOf));
    fc.assert(
      fc.property(fc.shuffledSubarray([...told, ...told], { minLength: 2 * told.length }), (shuffled) => {
        expect(unitHistories(shuffled.map(factOf))).toEqual(straight);
      }),
      { numRuns: 30 },
    );
  });

  it("tell the time since the run before, and in tolerance with the limit itself included", () => {
    const history = historyOf(
      { date: "2026-01-01", found: [0.1, 0.2] },
      { date: "2026-07-01", found: [0.5, -0.5] },
      { date: "2027-01-01", found: [0.1, -0.5000001] },
    );
    expect(history.findings.map((f) => [f.days, f.in_tolerance])).toEqual([
      [null, true],
      [181, true],
      [184, false],
    ]);
    expect(history.stretch).toHaveLength(3);
  });

  it("leave out runs that did not end and runs without points, and say so", () => {
    const history = historyOf(
      { date: "2026-01-01", found: [0.1, 0.2] },
      { date: "2026-02-01", found: [9, 9], more: { finished: false } },
      { date: "2026-03-01", found: null },
      { date: "2026-07-01", found: [0.1, 0.2] },
    );
    expect(history.findings.map((f) => f.date)).toEqual(["2026-01-01", "2026-07-01"]);
    expect(history.left_out.map((l) => l.why)).toEqual([
      "the run did not come to its end",
      "it holds no calibration points",
    ]);
    expect(history.findings[1]?.days).toBe(181);
  });

  it.each<[string, readonly Told[], string]>([
    [
      "another range",
      [
        { date: "2026-01-01", found: [0, 0] },
        { date: "2026-07-01", found: [0, 0], more: { range: "4 to 12 mA" } },
      ],
      "range changed",
    ],
    [
      "nothing read as found",
      [
        { date: "2026-01-01", found: [0, 0] },
        { date: "2026-07-01", found: null, left: [0, 0] },
      ],
      "nothing was read as found",
    ],
    [
      "turned, and nothing read as left",
      [
        { date: "2026-01-01", found: [0, 0], more: { adjusted: true } },
        { date: "2026-07-01", found: [0, 0] },
      ],
      "has no result as left",
    ],
  ])("begin anew after %s", (_, runs, why) => {
    const history = historyOf(...runs);
    expect(history.interruptions.map((i) => [i.date, i.what.includes(why)])).toEqual([["2026-07-01", true]]);
    expect(history.stretch.map((f) => f.date)).toEqual(["2026-07-01"]);
    expect(history.findings[1]?.days).toBeNull();
  });

  it("begin anew after a repair that is told; the day of a run is before its run", () => {
    const facts = every(6, [0.1, 0.2, 0.3, 0.4]).map(factOf);
    const [history] = unitHistories(facts, [{ date: "2025-01-15", what: "repaired" }]);
    expect(history?.interruptions).toEqual([{ date: "2025-01-15", what: "repaired" }]);
    expect(history?.stretch.map((f) => f.date)).toEqual(["2025-01-15", "2025-07-15"]);
    const [before] = unitHistories(facts, [{ date: "2020-01-01", what: "repaired" }]);
    expect(before?.stretch).toHaveLength(4);
  });
});
