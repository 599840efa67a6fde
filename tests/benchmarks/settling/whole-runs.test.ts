import { describe, expect, it } from "vitest";
import { wholeRuns } from "./whole-runs.ts";
import { fixedWaiting } from "./whole-runs-run.ts";

/**
 * The benchmark of whole runs in small. Six units cannot show a 95th percentile: the greatest error stands for it, with room
 * for a unit that is worse than most.
 */
describe("whole runs on the virtual bench", () => {
  it("give the hysteresis figure of the unit itself in much less time than a fixed minute a point", () => {
    const { others, creepers } = wholeRuns(11, 6, [{ name: "detector" }, fixedWaiting(60)]);
    const [detector, fixed] = others;
    if (detector === undefined || fixed === undefined) throw new Error("a rule has no row");
    expect(detector.runs + (creepers[0]?.runs ?? 0)).toBe(6);
    expect(detector.without_figure).toBe(0);
    expect(detector.points_share).toBeLessThan(0.5);
    expect(detector.whole_share).toBeLessThan(0.75);
    // Nine points of a minute, and the way to each of them: the time of a fixed wait is known beforehand.
    expect(fixed.points_min).toBeGreaterThan(9);
    expect(fixed.points_min).toBeLessThan(11);
    expect(detector.error_max).toBeLessThan(0.06);
    expect(detector.error_p50).toBeLessThan(0.03);
    expect(Math.abs(detector.bias)).toBeLessThan(0.03);
  });

  it("a wait that is far too short shows as false hysteresis: the comparison can fail", () => {
    const { others } = wholeRuns(11, 3, [fixedWaiting(6)]);
    expect(others[0]?.error_max).toBeGreaterThan(0.06);
  });
});
