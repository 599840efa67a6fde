import type { RunEvent } from "../readings/run-event.ts";
import type { Stage } from "../vocabulary/reading.ts";

/** Where a record that broke off says the run stood. */
export type Standing =
  | { readonly kind: "ended" }
  /** No point had been begun: everything is done from the start. */
  | { readonly kind: "before-points" }
  | { readonly kind: "measuring"; readonly stage: Stage; readonly taken: ReadonlySet<number> }
  /** As found is whole and nobody has said yet whether a screw is to be turned. */
  | { readonly kind: "judging" }
  /** `turned`: a hand may have been at a screw. */
  | { readonly kind: "adjusting"; readonly frozen: boolean; readonly turned: boolean }
  /** The screws are done; as left has not begun. */
  | { readonly kind: "before-as-left" }
  /** All is read; only the last words were missing. */
  | { readonly kind: "finishing" }
  | { readonly kind: "examining" };

const lastIndexOf = (events: readonly RunEvent[], is: (event: RunEvent) => boolean): number => events.findLastIndex(is);

const began = (events: readonly RunEvent[], stage: string): number =>
  lastIndexOf(events, (e) => e.kind === "stage-started" && e.stage === stage);

const completed = (events: readonly RunEvent[], stage: Stage): boolean =>
  lastIndexOf(events, (e) => e.kind === "stage-completed" && e.stage === stage) > began(events, stage);

const measuring = (events: readonly RunEvent[], stage: Stage): Standing => ({
  kind: "measuring",
  stage,
  // A point that never stood still was tried as long as the plan wants; it is not tried again.
  taken: new Set(
    events
      .slice(began(events, stage))
      .flatMap((e) => (e.kind === "point-captured" || e.kind === "point-not-settled" ? [e.point.ordinal] : [])),
  ),
});

/** Reads the standing of a run from what was recorded of it; pure, and the same for every interruption that it outlived. */
export const standingOf = (events: readonly RunEvent[]): Standing => {
  if (events.some((e) => e.kind === "run-ended")) return { kind: "ended" };
  if (events.some((e) => e.kind === "examination-started")) return { kind: "examining" };
  const adjusting = began(events, "adjusting");
  if (began(events, "as-left") > Math.max(0, adjusting)) {
    return completed(events, "as-left") ? { kind: "finishing" } : measuring(events, "as-left");
  }
  const ended = lastIndexOf(events, (e) => e.kind === "adjustment-ended");
  const turned = events.some((e) => e.kind === "screw-turned");
  if (ended >= 0 && ended > adjusting) {
    const how = events[ended];
    if (how?.kind === "adjustment-ended" && how.outcome === "not-needed") return { kind: "finishing" };
    return turned || adjusting >= 0 ? { kind: "before-as-left" } : { kind: "finishing" };
  }
  const frozen = events.some((e) => e.kind === "as-found-frozen");
  if (adjusting >= 0 || frozen) return { kind: "adjusting", frozen, turned: turned || adjusting >= 0 };
  if (began(events, "as-found") < 0) return { kind: "before-points" };
  return completed(events, "as-found") ? { kind: "judging" } : measuring(events, "as-found");
};
