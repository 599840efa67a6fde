import { VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import { type ClockStep, clockSteps } from "../../src/app/clock-steps.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { foldRun } from "../../src/readings/fold-run.ts";
import { must, practiceJob } from "./practice-job.ts";

/** R98: a step of the computer's clock is an event; durations come from a clock that cannot be set. */

const START = Date.UTC(2031, 2, 4, 8);

/** What is heard in 10 s, when the wall clock shows this much more than the steady one from that second on. */
const heard = (steps: readonly (readonly [number, number])[]): readonly ClockStep[] => {
  const scheduler = new VirtualTimeScheduler();
  const offset = (): number =>
    steps.filter(([at_s]) => scheduler.now() >= at_s * 1000).reduce((sum, [, ms]) => sum + ms, 0);
  const seen: ClockStep[] = [];
  scheduler.maxFrames = 10_000;
  const subscription = clockSteps(
    { wall_ms: () => START + scheduler.now() + offset(), steady_ms: () => 12345 + scheduler.now() },
    scheduler,
  ).subscribe((step) => seen.push(step));
  scheduler.flush();
  subscription.unsubscribe();
  return seen;
};

describe("steps of the computer's clock", () => {
  it("are told once each, with their size and what the clock shows then", () => {
    expect(heard([[2.5, -3_600_000]])).toEqual([
      { by_s: -3600, shown_utc: new Date(START + 3000 - 3_600_000).toISOString() },
    ]);
    expect(
      heard([
        [2.5, 90_000],
        [6.2, -90_000],
      ]).map((s) => s.by_s),
    ).toEqual([90, -90]);
  });

  it("are not the slewing of a clock that is kept right", () => {
    expect(heard([1, 2, 3, 4, 5, 6].map((at) => [at, 40] as const))).toEqual([]);
    expect(heard([])).toEqual([]);
  });
});

it("the run writes no step that there was not", async () => {
  const lines: string[] = [];
  const { record } = must(
    await runVirtualJob(practiceJob(), {
      run_id: "steady",
      utc_zero_ms: START,
      keep: (line) => {
        lines.push(line);
        return null;
      },
    }),
  );
  expect(record.deviations.filter((d) => d.kind === "clock-stepped")).toEqual([]);
  const events = lines.map((line) => JSON.parse(line) as { seq: number; at_s: number; utc: string });
  // Canonical, numbered on, and the clock of the run never goes back.
  for (const [i, event] of events.entries()) {
    expect(event.seq).toBe(i + 1);
    if (i > 0) expect(event.at_s).toBeGreaterThanOrEqual(events[i - 1]?.at_s ?? 0);
    expect(Date.parse(event.utc)).toBeCloseTo(START + event.at_s * 1000, -1);
  }
  expect(must(foldRun(lines.map((line) => JSON.parse(line)))).event_count).toBe(lines.length);
});
