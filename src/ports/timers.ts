/**
 * Wall-clock waiting, handed in: deadlines of the wire run on the clock on the wall even when a run is accelerated, and
 * on a virtual one in tests. Times in s from any fixed origin; never goes back.
 */
export interface Timers {
  now_s(): number;
  /** Runs `work` once after `delay_s`; the function that comes back calls it off, and may be called at any time. */
  after(delay_s: number, work: () => void): () => void;
}
