import { ok } from "../../vocabulary/result.ts";
import { chosenCount, chosenPoints, insideSentence, type Sequence, strokes, topHold, upDown } from "./sequence.ts";

/** Static test under reference conditions, for I/P converters. Counts are from memory: the standard could not be read. */
export const iec61298Sequence: Sequence = {
  name: "iec-61298-2",
  summary: "in the manner of IEC 61298-2: full strokes first, then 5 points up and down three times",
  draft: (options) => {
    const points = chosenPoints(options, 5);
    if (!points.ok) return points;
    const cycles = chosenCount("cycles", options.cycles, 3, 1, 10);
    if (!cycles.ok) return cycles;
    const exercise = chosenCount("exercise strokes", options.exercise_strokes, 3, 1, 10);
    if (!exercise.ok) return exercise;
    const pass = (options.inside_ends_percent ?? 0) > 0;
    return ok({
      title: "Manner of IEC 61298-2, static test",
      follows: [
        "IEC 61298-2: the unit is exercised over the full range first, each point is approached from one side only and read when the output is steady.",
        `${exercise.value} full strokes first (43 CFR 3175.132 writes three for transducers).`,
        `${cycles.value} cycles of ${points.value.length} points (numbers from memory, to be checked against the edition in force).`,
        ...insideSentence(options),
      ],
      drafts: [
        ...strokes(exercise.value, topHold(options)),
        ...Array.from({ length: cycles.value }, (_, i) => upDown(points.value, i + 1, pass)).flat(),
      ],
      exercise_each_stage: true,
    });
  },
};
