import { beforeAll, describe, expect, it } from "vitest";
import { killRuns, randomFrom } from "../benchmarks/records/killed-runs.ts";
import { builtOnce } from "./build-once.ts";

/** A few of the kills that `npm run bench:kills` makes by the hundred. */
describe("a calibration that is killed and resumed", () => {
  beforeAll(() => builtOnce());

  it("loses no event, invents none, and ends as if nobody had disturbed it", async () => {
    const counted = await killRuns(6, randomFrom(7), () => {});
    expect(counted.wrong).toEqual([]);
    expect(counted.kills).toBeGreaterThanOrEqual(4);
    expect(counted.while_running + counted.after_the_run + counted.before_first_event).toBeGreaterThanOrEqual(4);
  }, 180_000);
});
