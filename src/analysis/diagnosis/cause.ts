import type { Evidence } from "./evidence.ts";

/** Causes that the tests can point to. */
export type Cause =
  | "reversed"
  | "loop-current"
  | "supply-low"
  | "supply-droop"
  | "supply-pulsating"
  | "supply-sensitive"
  | "wrong-range"
  | "leak"
  | "hunting"
  | "ringing"
  | "drift"
  | "worn-linkage"
  | "friction"
  | "clogged-restrictor"
  | "clogged-feed"
  | "blocked-exhaust"
  | "long-line"
  | "bent-curve"
  | "zero-off"
  | "span-off";

/** How strongly a cause shows: the figure over its threshold; 1 and more counts. With the figures behind it. */
export interface Sign {
  readonly strength: number;
  readonly figures: string;
}

export interface CauseEntry {
  readonly cause: Cause;
  /** What it is and what to look at, for a person. */
  readonly words: string;
  readonly sign: (evidence: Evidence) => Sign | null;
  /** Causes whose signs this one brings along. */
  readonly explains: readonly Cause[];
}
