import type { UnitHistory } from "../unit-history.ts";
import { type IntervalSettings, type Proposal, proposed } from "./proposal.ts";

/** The interval that was agreed or is usual; it learns nothing. */
export const fixed = (history: UnitHistory, settings: IntervalSettings): Proposal =>
  proposed(
    {
      method: "fixed",
      name: "fixed interval",
      source: settings.start_from,
      would_change: "only a decision of whoever answers for the unit",
    },
    history,
    settings.start_months,
    settings.start_months,
    [`${settings.start_months} months from the last calibration, whatever was found.`],
  );
