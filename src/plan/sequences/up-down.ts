import { ok } from "../../vocabulary/result.ts";
import {
  chosenCount,
  chosenPoints,
  classSentence,
  insideSentence,
  type Sequence,
  strokes,
  topHold,
  upDown,
} from "./sequence.ts";

/** The everyday calibration: exercise, then up and down over evenly spaced points. */
export const upDownSequence: Sequence = {
  name: "up-down",
  summary: "points up and down, after exercising the unit (default: 0, 25, 50, 75, 100 % once)",
  draft: (options) => {
    const points = chosenPoints(options, 5);
    if (!points.ok) return points;
    const cycles = chosenCount("cycles", options.cycles, 1, 1, 10);
    if (!cycles.ok) return cycles;
    const exercise = chosenCount("exercise strokes", options.exercise_strokes, 1, 0, 10);
    if (!exercise.ok) return exercise;
    const pass = (options.inside_ends_percent ?? 0) > 0;
    const drafts = Array.from({ length: cycles.value }, (_, i) => upDown(points.value, i + 1, pass)).flat();
    return ok({
      title: `${points.value.length} points up and down, ${cycles.value === 1 ? "one cycle" : `${cycles.value} cycles`}`,
      follows: [
        "Points spread over the range and read rising and falling: Kuphaldt, Lessons in Industrial Instrumentation, instrument calibration.",
        ...(exercise.value === 0
          ? ["Deviates: the unit is not exercised first, so the first cycle may differ from later ones."]
          : ["The unit is exercised over its range first: common practice, as the static test standards ask as well."]),
        ...classSentence(options),
        ...insideSentence(options),
      ],
      drafts: [...strokes(exercise.value, topHold(options)), ...drafts],
      exercise_each_stage: false,
    });
  },
};
