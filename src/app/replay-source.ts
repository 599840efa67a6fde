import type { SettlingChoice } from "../plan/test-plan.ts";
import type { RecordedWait } from "../run/settling/replay.ts";

/** A recorded wait with its name, and what else is known of it. */
export interface NamedWait extends RecordedWait {
  /** Such as `as found 3, 50 % rising`. */
  readonly name: string;
  /** Waits of one unit follow each other and share what a rule learns. */
  readonly unit: string;
  /** Display digit of the gauge, % of span; null when it is not known. */
  readonly resolution_percent: number | null;
  /** What was said in the run itself. */
  readonly said?: string;
  /** For made-up traces: where the unit really stands from 60 s on, % of span. */
  readonly truth?: { readonly low: number; readonly high: number; readonly settles: boolean };
  /** kPa at 0 % and at 100 %, where the range is known. */
  readonly range_kPa?: { readonly lower: number; readonly upper: number };
}

export interface ReplaySource {
  readonly waits: readonly NamedWait[];
  readonly simulated: boolean;
  /** The rule of the run; null where the source does not say. */
  readonly settling: SettlingChoice | null;
  /** What the replay cannot know, one sentence each. */
  readonly remarks: readonly string[];
}
