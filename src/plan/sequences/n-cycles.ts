import { ok } from "../../vocabulary/result.ts";
import type { Sequence } from "./sequence.ts";
import { upDownSequence } from "./up-down.ts";

const cycled = (name: string, cycles: number, summary: string): Sequence => ({
  name,
  summary,
  draft: (options) => {
    const draft = upDownSequence.draft({ ...options, cycles: options.cycles ?? cycles });
    return draft.ok
      ? ok({
          ...draft.value,
          follows: [
            ...draft.value.follows,
            "More than one cycle, so that repeatability is seen apart from hysteresis; pairing is within one cycle.",
          ],
        })
      : draft;
  },
});

export const twoCyclesSequence = cycled("two-cycles", 2, "up and down twice, to see repeatability");
export const nCyclesSequence = cycled("n-cycles", 3, "up and down n times (default 3), to see repeatability");
