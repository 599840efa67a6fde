import { filter, interval, map, type Observable, type SchedulerLike, scan, share } from "rxjs";

/** The computer's clock was set: forward where `by_s` is positive. */
export interface ClockStep {
  readonly by_s: number;
  /** ISO 8601, UTC, right after. */
  readonly shown_utc: string;
}

/** How often the clocks are compared, ms on the wall. */
const LOOK_EVERY_ms = 1000;

/** Smaller changes are the slewing of a clock that is kept right, and the resolution of looking. */
const LEAST_STEP_s = 0.5;

export interface TwoClocks {
  /** The clock that can be set, ms since the epoch. */
  readonly wall_ms: () => number;
  /** A clock that cannot be set and never stands still, ms. */
  readonly steady_ms: () => number;
}

/** Compares a clock that can be set with one that cannot. `scheduler` is that of the wall, not of the run. */
export const clockSteps = ({ wall_ms, steady_ms }: TwoClocks, scheduler: SchedulerLike): Observable<ClockStep> => {
  const apart = (): number => wall_ms() - steady_ms();
  return interval(LOOK_EVERY_ms, scheduler).pipe(
    map(() => ({ apart_ms: apart(), wall_ms: wall_ms() })),
    scan((before, now) => ({ ...now, by_ms: now.apart_ms - before.apart_ms }), {
      apart_ms: apart(),
      wall_ms: wall_ms(),
      by_ms: 0,
    }),
    filter(({ by_ms }) => Math.abs(by_ms) >= LEAST_STEP_s * 1000),
    map((seen) => ({ by_s: seen.by_ms / 1000, shown_utc: new Date(seen.wall_ms).toISOString() })),
    share(),
  );
};
