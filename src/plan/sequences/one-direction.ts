import { ok } from "../../vocabulary/result.ts";
import {
  chosenCount,
  chosenPoints,
  classSentence,
  falling,
  insideSentence,
  rising,
  type Sequence,
  strokes,
  topHold,
} from "./sequence.ts";

/** Quick look: one direction only. It cannot see hysteresis and says so. */
export const oneDirectionSequence: Sequence = {
  name: "one-direction",
  summary: "points in one direction only; hysteresis is not seen",
  draft: (options) => {
    const points = chosenPoints(options, 5);
    if (!points.ok) return points;
    const exercise = chosenCount("exercise strokes", options.exercise_strokes, 1, 0, 10);
    if (!exercise.ok) return exercise;
    const direction = options.direction ?? "rising";
    const head = strokes(exercise.value, topHold(options));
    return ok({
      title: `${points.value.length} points ${direction}`,
      follows: [
        "Points spread over the range: Kuphaldt, Lessons in Industrial Instrumentation, instrument calibration.",
        `Deviates: read ${direction} only, so that hysteresis and dead band are not seen.`,
        ...classSentence(options),
        ...insideSentence(options),
      ],
      drafts:
        direction === "rising"
          ? [...head, ...rising(points.value, 1)]
          : [...head, { kind: "exercise", to: 100, hold_s: 5 }, ...falling(points.value, 1)],
      exercise_each_stage: false,
    });
  },
};
