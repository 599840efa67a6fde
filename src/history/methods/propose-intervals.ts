import type { UnitDrift } from "../unit-drift.ts";
import type { UnitHistory } from "../unit-history.ts";
import { controlChart } from "./control-chart.ts";
import { fixed } from "./fixed.ts";
import { type IntervalSettings, METHODS, type MethodId, type Proposal } from "./proposal.ts";
import { type ModelReliability, reliability } from "./reliability.ts";
import { simpleResponse } from "./simple-response.ts";
import { staircase } from "./staircase.ts";
import { timeInUse } from "./time-in-use.ts";

/** What the methods rest on: the unit, its drift, and what all units of its model (itself included) say together. */
export interface IntervalCase {
  readonly history: UnitHistory;
  readonly drift: UnitDrift;
  readonly model: ModelReliability;
}

const BY: Readonly<Record<MethodId, (given: IntervalCase, settings: IntervalSettings) => Proposal>> = {
  fixed: ({ history }, settings) => fixed(history, settings),
  staircase: ({ history }, settings) => staircase(history, settings),
  "control-chart": ({ history, drift }, settings) => controlChart(history, settings, drift),
  "time-in-use": ({ history }, settings) => timeInUse(history, settings),
  "simple-response": ({ history }, settings) => simpleResponse(history, settings),
  reliability: ({ history, model }, settings) => reliability(history, settings, model),
};

export const proposeInterval = (method: MethodId, given: IntervalCase, settings: IntervalSettings): Proposal =>
  BY[method](given, settings);

/** Every method side by side. */
export const proposeIntervals = (given: IntervalCase, settings: IntervalSettings): readonly Proposal[] =>
  METHODS.map((method) => proposeInterval(method, given, settings));
