import { createRandom } from "../../../drivers/simulated/physics/random.ts";
import type { Cause } from "../../../src/analysis/diagnosis/cause.ts";
import { CAUSES } from "../../../src/analysis/diagnosis/causes.ts";
import { diagnose } from "../../../src/analysis/diagnosis/diagnose.ts";
import { evidenceOf, FAULTS, soundUnit } from "./planted-faults.ts";

export type Word = Cause | "no fault found";

export interface DiagnosisFigures {
  readonly each: number;
  /** planted -> named first -> how often */
  readonly table: ReadonlyMap<Word, ReadonlyMap<Word, number>>;
  readonly right: number;
  readonly sound_right: number;
}

const named = (unit: Parameters<typeof evidenceOf>[0], seed: string): Word =>
  diagnose(evidenceOf(unit, createRandom(seed))).opinions[0]?.cause ?? "no fault found";

export const benchDiagnosis = (each: number): DiagnosisFigures => {
  const table = new Map<Word, Map<Word, number>>();
  const count = (planted: Word, said: Word): void => {
    const row = table.get(planted) ?? new Map<Word, number>();
    row.set(said, (row.get(said) ?? 0) + 1);
    table.set(planted, row);
  };
  for (let i = 0; i < each; i += 1) {
    const sound = soundUnit(createRandom(`sound ${i}`));
    count("no fault found", named(sound, `look at sound ${i}`));
    for (const { cause } of CAUSES) {
      const unit = FAULTS[cause](soundUnit(createRandom(`${cause} ${i}`)), createRandom(`plant ${cause} ${i}`));
      count(cause, named(unit, `look at ${cause} ${i}`));
    }
  }
  const rightOf = (word: Word): number => table.get(word)?.get(word) ?? 0;
  return {
    each,
    table,
    right: CAUSES.reduce((sum, { cause }) => sum + rightOf(cause), 0) / (each * CAUSES.length),
    sound_right: rightOf("no fault found") / each,
  };
};

export const diagnosisLines = (f: DiagnosisFigures): readonly string[] => [
  `Planted faults, ${f.table.size - 1} kinds x ${f.each} SIMULATED units: planted cause named first in ${(100 * f.right).toFixed(1)} %; "no fault found" for ${(100 * f.sound_right).toFixed(1)} % of ${f.each} sound units`,
  ...[...f.table].map(([planted, row]) => {
    const others = [...row].filter(([said]) => said !== planted).toSorted((a, b) => b[1] - a[1]);
    const rest = others.length === 0 ? "" : `   else: ${others.map(([said, n]) => `${said} ${n}`).join(", ")}`;
    return `  ${planted.padEnd(20)} ${String(row.get(planted) ?? 0).padStart(3)} of ${f.each}${rest}`;
  }),
];
