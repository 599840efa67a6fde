import type { Cause } from "./cause.ts";
import { CAUSES } from "./causes.ts";
import type { Evidence } from "./evidence.ts";

/** An opinion about a cause, with the figures behind it. Not a verdict, and never one. */
export interface Opinion {
  readonly cause: Cause;
  readonly words: string;
  readonly figures: string;
  /** Figure over its threshold; from 1 on. */
  readonly strength: number;
}

export interface Diagnosis {
  /** Most likely first; causes that another one explains are left out. */
  readonly opinions: readonly Opinion[];
  /** Tests that were not run, so that nothing could be said from them. */
  readonly not_looked_at: readonly string[];
}

/** What the tests point to. Pure; the same evidence, the same opinions. */
export const diagnose = (evidence: Evidence): Diagnosis => {
  const shown = CAUSES.flatMap((entry) => {
    const sign = entry.sign(evidence);
    return sign === null || sign.strength < 1 ? [] : [{ entry, sign }];
  });
  // A cause that itself follows from another one explains nothing any more: taken in the order of the list, roots first.
  const explained = new Set<Cause>();
  for (const { entry } of shown)
    if (!explained.has(entry.cause)) for (const cause of entry.explains) explained.add(cause);
  const missing = [
    ["calibration", evidence.curve === null],
    ["step response", evidence.step_up === null || evidence.step_down === null],
    ["leak", evidence.leak_percent_per_min === null],
    ["dead band", evidence.dead_band_percent === null],
    ["hold", evidence.holds.length === 0],
    ["supply", evidence.supply === null],
    ["loop current", evidence.current_off_mA === null],
  ] as const;
  return {
    opinions: shown
      .filter(({ entry }) => !explained.has(entry.cause))
      .map(({ entry, sign }) => ({ cause: entry.cause, words: entry.words, ...sign }))
      .toSorted((a, b) => b.strength - a.strength),
    not_looked_at: missing.flatMap(([name, is]) => (is ? [name] : [])),
  };
};

/** Opinions as sentences, marked as what they are (ISO/IEC 17025:2017, 7.8.7: opinions and interpretations). */
export const diagnosisLines = ({ opinions, not_looked_at }: Diagnosis): readonly string[] => [
  "Opinion (ISO/IEC 17025, 7.8.7), from the figures beside it; no part of the result and no verdict:",
  ...(opinions.length === 0
    ? ["  no fault found: the unit is within its limits in what was tested; look elsewhere in the loop"]
    : opinions.map(({ words, figures }, i) => `  ${i + 1}. ${words} (${figures})`)),
  ...(not_looked_at.length === 0 ? [] : [`  not looked at: ${not_looked_at.join(", ")}`]),
];
