import { faultText } from "../../vocabulary/fault.ts";
import { failed, type PreflightCheck, passed } from "./check.ts";

const LOOK_S = 3;
/** A gauge that a person reads, or one behind a slow line, is given this long for the same number of readings. */
const SLOW_LOOK_S = 120;
const LEAST = 3;
/** Share of polls that may fail, common practice, no source: a sound line loses none, a deadline just too short loses many. */
const MOST_FAILED = 0.1;

/** Readings come, and nearly every poll gives one; if not, the gauge's own last word says why. */
export const gaugeAlive: PreflightCheck = {
  name: "gauge-alive",
  phase: "look",
  run: function* ({ context }) {
    const from_s = context.now_s();
    yield* context.wait(LOOK_S);
    let seen = context.monitor.pressure.since(from_s);
    while (seen.length < LEAST && context.now_s() - from_s < SLOW_LOOK_S) {
      yield* context.wait(1);
      seen = context.monitor.pressure.since(from_s);
    }
    const good = seen.filter((s) => s.sample.ok).length;
    const last = seen.flatMap(({ sample }) => (sample.ok ? [] : [sample.fault])).at(-1);
    const why = last === undefined ? undefined : faultText(last);
    const said = `${good} of ${seen.length} polls of the gauge gave a reading in ${(context.now_s() - from_s).toFixed(0)} s${why === undefined ? "" : `: ${why}`}`;
    if (good < LEAST)
      return failed(
        said,
        "No point could be judged to stand still.",
        "Check the gauge, its power and its line settings.",
      );
    return seen.length - good > MOST_FAILED * seen.length
      ? failed(
          said,
          "Points may be lost in the middle, and what is wrong with some readings may be wrong with all.",
          last?.kind === "device"
            ? "Put right what is said of the gauge, or its profile, then start again."
            : "Look for a deadline just too short, missing termination or a bad cable.",
        )
      : passed(said);
  },
};
