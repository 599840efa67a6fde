import { err, ok } from "../../vocabulary/result.ts";
import { evenPoints, insideEnds } from "../point-sets.ts";
import { type Draft, falling, insideSentence, rising, type Sequence, strokes } from "./sequence.ts";

interface Row {
  readonly letter: "A" | "B" | "C";
  readonly wanted: string;
  readonly points: number;
  readonly preloads: number;
  readonly up: number;
  readonly down: number;
}

/**
 * Sequences of DKD-R 6-1 (03/2014, revision 3). Points, preloadings and holds as an accredited laboratory's page
 * summarises them; the number of series up and down from memory.
 */
const ROWS: readonly Row[] = [
  { letter: "A", wanted: "below 0.1 % of span", points: 9, preloads: 3, up: 2, down: 2 },
  { letter: "B", wanted: "0.1 to 0.6 % of span", points: 9, preloads: 2, up: 2, down: 1 },
  { letter: "C", wanted: "above 0.6 % of span", points: 5, preloads: 1, up: 1, down: 1 },
];

const DKD_HOLD_S = 30;
const DKD_HOLD_TOP_S = 120;

/** Series 1 up, 2 down, 3 up, 4 down; the top is held between an up and a down and read on both sides of the hold. */
const series = (row: Row, points: readonly number[]): readonly Draft[] => {
  const drafts: Draft[] = [];
  for (let cycle = 1; cycle <= row.up; cycle += 1) {
    drafts.push(...rising(points, cycle));
    if (cycle > row.down) continue;
    drafts.push({ kind: "exercise", to: 100, hold_s: DKD_HOLD_TOP_S });
    drafts.push(...falling(points, cycle));
    if (cycle < row.up) drafts.push({ kind: "exercise", to: 0, hold_s: 5 });
  }
  return drafts;
};

const sequence = (row: Row): Sequence => ({
  name: `dkd-r-6-1-${row.letter.toLowerCase()}`,
  summary: `in the manner of DKD-R 6-1 sequence ${row.letter}: ${row.points} points, ${row.preloads} preloadings, ${row.up} up, ${row.down} down`,
  draft: (options) => {
    if (options.points !== undefined || options.cycles !== undefined || options.exercise_strokes !== undefined)
      return err(
        `sequence ${row.letter} of DKD-R 6-1 fixes points, cycles and preloadings; use up-down to choose your own`,
      );
    const inside = options.inside_ends_percent ?? 0;
    if (!(inside >= 0 && inside < 10))
      return err(`${inside} % inside the ends is not possible here; choose below 10 %`);
    return ok({
      title: `Manner of DKD-R 6-1, sequence ${row.letter}`,
      follows: [
        `DKD-R 6-1 sequence ${row.letter} (wanted uncertainty ${row.wanted}): ${row.points} points, preloadings: ${row.preloads}, 0.5 min a point, 2 min at the top (read in a laboratory's summary of the guideline).`,
        `Series: ${row.up} up, ${row.down} down (from memory, to be checked against the edition in force).`,
        "Deviates: the guideline is for pressure gauges; here the current is set and the output pressure is read, so points are steps of current.",
        "Deviates: the hold of 0.5 min is a least time; a point is read when the output stands still, which may be later.",
        ...insideSentence(options),
      ],
      drafts: [
        ...strokes(row.preloads, { hold_s: DKD_HOLD_TOP_S }, DKD_HOLD_S),
        ...series(row, insideEnds(evenPoints(row.points), inside)),
      ],
      exercise_each_stage: true,
      minimum_dwell_s: DKD_HOLD_S,
    });
  },
});

export const dkdSequences: readonly Sequence[] = ROWS.map(sequence);
