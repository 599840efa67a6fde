import { describe, expect, it } from "vitest";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, practiceJob } from "./practice-job.ts";

const QUICK = { points: [10, 90], exercise_strokes: 0 } as const;

const run = async (bench: "simulated-tcp" | "simulated-serial") => {
  const world = { run_id: "room", utc_zero_ms: 0, keep: () => null };
  const outcome = must(await runVirtualJob(practiceJob({ bench }, { adjust: "never", plan: QUICK }), world));
  return { record: outcome.record };
};

describe("hygrometer and barometer of a station", () => {
  it("are identified, and stand at each point beside the room temperature", async () => {
    const { record } = await run("simulated-tcp");
    expect(record.instruments.map(({ role }) => role)).toEqual(expect.arrayContaining(["humidity", "barometer"]));
    const points = record.stages.flatMap((stage) => stage.points);
    expect(points.length).toBeGreaterThan(0);
    for (const point of points) {
      // What the simulated room has: 45 % and 101.3 kPa.
      expect(point.humidity_percent).toBeCloseTo(45, 9);
      expect(point.air_pressure_kPa).toBeCloseTo(101.3, 9);
      expect(point.ambient_degC).toBeGreaterThan(15);
    }
  });

  it("leave no mark in the record of a station without them", async () => {
    const { record } = await run("simulated-serial");
    expect(record.instruments.map(({ role }) => role)).not.toContain("humidity");
    for (const point of record.stages.flatMap((stage) => stage.points)) {
      expect(point).not.toHaveProperty("humidity_percent");
      expect(point).not.toHaveProperty("air_pressure_kPa");
    }
  });
});
