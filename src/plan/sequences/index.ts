import { dkdSequences } from "./dkd-r-6-1.ts";
import { cg17Sequences } from "./euramet-cg-17.ts";
import { iec61298Sequence } from "./iec-61298-2.ts";
import { nCyclesSequence, twoCyclesSequence } from "./n-cycles.ts";
import { oneDirectionSequence } from "./one-direction.ts";
import { repeatAtPointSequence } from "./repeat-at-point.ts";
import type { Sequence } from "./sequence.ts";
import { upDownSequence } from "./up-down.ts";

/** Every test sequence; a new one is one file and one line here. */
export const SEQUENCES: readonly Sequence[] = [
  upDownSequence,
  oneDirectionSequence,
  twoCyclesSequence,
  nCyclesSequence,
  repeatAtPointSequence,
  ...dkdSequences,
  ...cg17Sequences,
  iec61298Sequence,
];
