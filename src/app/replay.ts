import { readFileSync } from "node:fs";
import { gunzipSync } from "node:zlib";
import type { SettlingChoice } from "../plan/test-plan.ts";
import { createRule } from "../run/settling/create-rule.ts";
import { type ReplayedWait, replay } from "../run/settling/replay.ts";
import type { SettlingRule } from "../run/settling/settling-rule.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { readRecordedWaits } from "./replay-record.ts";
import type { NamedWait, ReplaySource } from "./replay-source.ts";
import { readTraces } from "./replay-trace.ts";

export type RuleName = SettlingChoice["rule"];

/** What a rule is tried with where neither the record nor the person says: the usual accuracy, common waits. */
const USUAL: Readonly<Record<RuleName, SettlingChoice>> = {
  detector: { rule: "detector", limit_percent: 0.05, gamma: 0.5, minimum_dwell_s: 0, timeout_s: 180 },
  "fixed-dwell": { rule: "fixed-dwell", dwell_s: 55, average_s: 5 },
  band: { rule: "band", band_percent: 0.05, window_s: 5, timeout_s: 180 },
  slope: { rule: "slope", slope_percent_per_min: 0.3, window_s: 10, timeout_s: 180 },
};
export const RULE_NAMES: readonly RuleName[] = ["detector", "fixed-dwell", "band", "slope"];

/** One wait as it was replayed, numbered from 1 in the order of the source. */
export interface ShownWait {
  readonly number: number;
  readonly wait: NamedWait;
  readonly replayed: ReplayedWait;
}

export interface Replay {
  readonly settling: SettlingChoice;
  readonly simulated: boolean;
  readonly waits: readonly ShownWait[];
  readonly remarks: readonly string[];
}

/** Text of a trace file or a run record. A record begins with the event `run-started`. */
export const readSource = (text: string, name: string): Result<ReplaySource, Fault> =>
  /"run-started"/u.test(text.slice(0, text.indexOf("\n") >>> 0)) ? readRecordedWaits(text) : readTraces(text, name);

/** Reads a source from disk, unpacked where its name ends in `.gz`. */
export const readSourceFile = (path: string): Result<ReplaySource, Fault> => {
  let bytes: Buffer;
  try {
    const raw = readFileSync(path);
    bytes = path.endsWith(".gz") ? gunzipSync(raw) : raw;
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return err(fault("refused", "bad-file", `${path} cannot be read: ${why}.`, { remedy: "Check the path." }));
  }
  return readSource(bytes.toString("utf8"), path);
};

/** Waits of one unit share one rule, in order; another unit begins with a rule that knows nothing. */
const replayUnits = (waits: readonly NamedWait[], make: (first: NamedWait) => SettlingRule): readonly ShownWait[] => {
  const shown: ShownWait[] = [];
  let unit: NamedWait[] = [];
  const close = (): void => {
    const [first] = unit;
    if (first === undefined) return;
    const replayed = replay(make(first), unit);
    unit.forEach((wait, i) => {
      const one = replayed[i];
      if (one !== undefined) shown.push({ number: shown.length + 1, wait, replayed: one });
    });
    unit = [];
  };
  for (const wait of waits) {
    if (unit[0] !== undefined && unit[0].unit !== wait.unit) close();
    unit.push(wait);
  }
  close();
  return shown;
};

/**
 * Replays a source with the rule asked for: with the figures of the run where the run had that rule, else with the usual
 * ones; without a name, with the rule of the run or the detector. Pure.
 */
export const replaySource = (source: ReplaySource, rule?: RuleName): Replay => {
  const own = source.settling;
  const settling = own !== null && (rule === undefined || own.rule === rule) ? own : USUAL[rule ?? "detector"];
  return {
    settling,
    simulated: source.simulated,
    remarks: settling.rule === "detector" ? source.remarks : [],
    waits: replayUnits(source.waits, ({ resolution_percent }) => createRule(settling, { resolution_percent })),
  };
};

/** The wait of that number; the only one when none is named. */
export const waitNumbered = ({ waits }: Replay, number: number): Result<ShownWait, Fault> => {
  const found = waits[number - 1];
  return found === undefined
    ? err(
        fault("refused", "bad-option", `There is no point ${number}; the file holds 1 to ${waits.length}.`, {
          remedy: "Leave --point out to see them all.",
        }),
      )
    : ok(found);
};

/** The rule and its figures, as they stand in a record. */
export const settlingText = ({ rule, ...figures }: SettlingChoice): string =>
  `${rule} (${Object.entries(figures)
    .map(([name, value]) => {
      const [, what, unit] = /^(.*?)(_percent_per_min|_percent|_s)?$/u.exec(name) ?? [];
      const units = { _percent_per_min: " % of span a minute", _percent: " % of span", _s: " s" } as const;
      return `${(what ?? name).replaceAll("_", " ")} ${value}${units[unit as keyof typeof units] ?? ""}`;
    })
    .join(", ")})`;
