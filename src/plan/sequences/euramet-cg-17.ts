import { err, ok } from "../../vocabulary/result.ts";
import { evenPoints, insideEnds } from "../point-sets.ts";
import { type Draft, falling, insideSentence, rising, type Sequence, strokes } from "./sequence.ts";

interface Procedure {
  readonly name: string;
  readonly wanted: string;
  readonly points: number;
  readonly cycles: number;
  /** Pressures at which two more rising readings are taken, % of span. */
  readonly repeated: readonly number[];
  readonly basis: string;
}

/** EURAMET cg-17 v2.0 (2011), 5.2. The basic procedure was read (5.2.1), the other two are from memory. */
const PROCEDURES: readonly Procedure[] = [
  {
    name: "basic",
    wanted: "above 0.2 % of full scale",
    points: 6,
    cycles: 1,
    repeated: [],
    basis: "EURAMET cg-17 v2.0 5.2.1: 6 points, once rising and falling.",
  },
  {
    name: "standard",
    wanted: "0.05 to 0.2 % of full scale",
    points: 11,
    cycles: 1,
    repeated: [10, 40, 70, 100],
    basis:
      "EURAMET cg-17 v2.0 5.2.2 (from memory): 11 points once rising and falling, and three measurements at four pressures; which four is our choice.",
  },
  {
    name: "comprehensive",
    wanted: "below 0.05 % of full scale",
    points: 11,
    cycles: 3,
    repeated: [],
    basis: "EURAMET cg-17 v2.0 5.2.3 (from memory): 11 points, three series rising and falling.",
  },
];

const HOLD_S = 30; // from load change to reading, from memory
const HOLD_TOP_S = 120; // preload at the upper end, from memory

const cycles = (procedure: Procedure, points: readonly number[]): readonly Draft[] =>
  Array.from({ length: procedure.cycles }, (_, i): readonly Draft[] => [
    ...(i === 0 ? [] : [{ kind: "exercise", to: 0, hold_s: 5 } as const]),
    ...rising(points, i + 1),
    { kind: "exercise", to: 100, hold_s: 5 },
    ...falling(points, i + 1),
  ]).flat();

/** The second and third reading at the repeated pressures, each after a return to zero. */
const repeats = (procedure: Procedure, inside: number): readonly Draft[] =>
  procedure.repeated.length === 0
    ? []
    : [2, 3].flatMap((cycle): readonly Draft[] => [
        { kind: "exercise", to: 0, hold_s: 5 },
        ...rising(insideEnds(procedure.repeated, inside), cycle),
      ]);

const sequence = (procedure: Procedure): Sequence => ({
  name: `cg-17-${procedure.name}`,
  summary: `in the manner of EURAMET cg-17, ${procedure.name} procedure: ${procedure.points} points, ${procedure.cycles} up and down`,
  draft: (options) => {
    if (options.points !== undefined || options.cycles !== undefined)
      return err(
        `the ${procedure.name} procedure of EURAMET cg-17 fixes points and series; use up-down to choose your own`,
      );
    const inside = options.inside_ends_percent ?? 0;
    if (!(inside >= 0 && inside < 5)) return err(`${inside} % inside the ends is not possible here; choose below 5 %`);
    return ok({
      title: `Manner of EURAMET cg-17, ${procedure.name} procedure`,
      follows: [
        `${procedure.basis} Wanted uncertainty ${procedure.wanted}.`,
        "Preload to full range with about 2 min at the top, and at least 30 s from a change to a reading (both from memory).",
        "Deviates: the guide is for electromechanical manometers; here the current is set and the output pressure is read.",
        ...insideSentence(options),
      ],
      drafts: [
        ...strokes(options.exercise_strokes ?? 1, { hold_s: options.hold_s ?? HOLD_TOP_S }),
        ...cycles(procedure, insideEnds(evenPoints(procedure.points), inside)),
        ...repeats(procedure, inside),
      ],
      exercise_each_stage: true,
      minimum_dwell_s: HOLD_S,
    });
  },
});

export const cg17Sequences: readonly Sequence[] = PROCEDURES.map(sequence);
