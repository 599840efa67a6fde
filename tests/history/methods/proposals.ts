import type { IntervalSettings, MethodId, Proposal } from "../../../src/history/methods/proposal.ts";
import { proposeIntervals } from "../../../src/history/methods/propose-intervals.ts";
import { modelReliability } from "../../../src/history/methods/reliability.ts";
import { unitDrift } from "../../../src/history/unit-drift.ts";
import type { UnitHistory } from "../../../src/history/unit-history.ts";
import { SETTINGS } from "../facts.ts";

/** Every proposal for a unit, by its method; alone of its model unless others are named. */
export const proposals = (
  history: UnitHistory,
  settings: IntervalSettings = SETTINGS,
  model: readonly UnitHistory[] = [history],
): Readonly<Record<MethodId, Proposal>> =>
  Object.fromEntries(
    proposeIntervals(
      {
        history,
        drift: unitDrift(history, settings.confidence, settings.studentT),
        model: modelReliability(model, settings),
      },
      settings,
    ).map((p) => [p.method, p]),
  ) as Record<MethodId, Proposal>;
