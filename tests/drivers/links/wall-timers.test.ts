import { describe, expect, it } from "vitest";
import { wallTimers } from "../../../drivers/links/wall-timers.ts";

const waited_ms = (delay_s: number): Promise<number> =>
  new Promise((resolve) => {
    const from_s = wallTimers.now_s();
    wallTimers.after(delay_s, () => resolve(1000 * (wallTimers.now_s() - from_s)));
  });

describe("waits on the wall clock", () => {
  it("are never shorter than asked for, and the shortest of many is near it", async () => {
    for (const delay_ms of [0.4, 1.75, 4.01, 9, 15]) {
      const waits: number[] = [];
      for (let i = 0; i < 15; i += 1) waits.push(await waited_ms(delay_ms / 1000));
      const shortest_ms = Math.min(...waits);
      // The system's timer, which long waits use, counts whole milliseconds from the last turn of its loop.
      expect(shortest_ms).toBeGreaterThanOrEqual(delay_ms < 12 ? delay_ms : delay_ms - 1);
      expect(shortest_ms).toBeLessThan(delay_ms + (delay_ms < 12 ? 0.6 : 2.5));
    }
  });

  it("can be called off before and while they run out", async () => {
    let rang = 0;
    const ring = (): void => {
      rang += 1;
    };
    for (const delay_s of [0, 0.002, 0.005, 0.02]) wallTimers.after(delay_s, ring)();
    const late = wallTimers.after(0.006, ring);
    wallTimers.after(0.0045, late);
    await waited_ms(0.03);
    expect(rang).toBe(0);
  });
});
