import { err, ok } from "../../vocabulary/result.ts";
import { chosenCount, type Draft, type Sequence, strokes, topHold } from "./sequence.ts";

const BACK_OFF = 10; // % of span, far beyond any dead band worth calibrating

/** The same point again and again, always from the same side: repeatability with hysteresis kept out. */
export const repeatAtPointSequence: Sequence = {
  name: "repeat-at-point",
  summary: "one point read n times from the same side (default: 50 %, 5 times)",
  draft: (options) => {
    const at = options.repeat_at_percent ?? 50;
    if (!(at >= 0 && at <= 100)) return err(`${at} % is not a point of the range; choose 0 to 100 %`);
    const repeats = chosenCount("repeats", options.repeats, 5, 2, 100);
    if (!repeats.ok) return repeats;
    const exercise = chosenCount("exercise strokes", options.exercise_strokes, 1, 0, 10);
    if (!exercise.ok) return exercise;
    const direction = at >= BACK_OFF ? "rising" : "falling";
    const away = direction === "rising" ? at - BACK_OFF : at + BACK_OFF;
    const drafts = Array.from({ length: repeats.value }, (_, i): readonly Draft[] => [
      { kind: "exercise", to: away, hold_s: 5 },
      { kind: "point", at, direction, cycle: i + 1 },
    ]).flat();
    return ok({
      title: `${at} % read ${repeats.value} times, ${direction}`,
      follows: [
        "Repeatability: spread of readings at one input approached from one direction (definition as in 43 CFR 3175.135(a)).",
        "Deviates: each approach backs off by 10 % of span instead of a full traverse.",
      ],
      drafts: [...strokes(exercise.value, topHold(options)), ...drafts],
      exercise_each_stage: false,
    });
  },
};
