import { faultText } from "../../vocabulary/fault.ts";
import { first } from "../script.ts";
import { meanOf } from "../settling/rules/window.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";

/** Compressed air cools right after a valve closes, so the first seconds do not count; common practice, no source. */
const CALM_S = 3;
const LOOK_S = 2;
const WATCH_S = 20;
/** Loss that a working unit makes up for along a short tube without a reading that suffers. % of span a minute. */
const MOST_PERCENT_PER_MIN = 0.5;

/** The loss of pressure behind a closed valve, at the highest point. Only where the bench can close one by itself. */
export const leak: PreflightCheck = {
  name: "leak",
  phase: "drive",
  run: function* ({ context }) {
    const { isolate } = context.request.bench;
    if (isolate === undefined)
      return skipped(
        "no valve that closes by itself between unit and gauge; `stillpoint examine --test leak` asks for it to be closed by hand and measures",
      );
    const mean = (from_s: number): number | null => {
      const seen = context.monitor.pressure.readings(from_s, context.now_s()).map((r) => r.value.kPa as number);
      return seen.length === 0 ? null : meanOf(seen);
    };
    const means = "How tight gauge and tubing are is not known.";
    const closed = yield* first(isolate(true));
    if (!closed.ok) return failed(faultText(closed.fault), means, "Check the valve.");
    yield* context.wait(CALM_S);
    let from_s = context.now_s();
    yield* context.wait(LOOK_S);
    const before = mean(from_s);
    yield* context.wait(WATCH_S - LOOK_S);
    from_s = context.now_s();
    yield* context.wait(LOOK_S);
    const after = mean(from_s);
    const opened = yield* first(isolate(false));
    if (!opened.ok) return failed(faultText(opened.fault), "The gauge is cut off from the unit.", "Open the valve.");
    if (before === null || after === null) return failed("the gauge gave no reading", means, "Check the gauge.");
    const loss = ((before - after) * 60) / WATCH_S;
    const limit =
      Math.abs(context.toPressure(MOST_PERCENT_PER_MIN) - context.toPressure(0)) +
      context.request.preflight.gauge.U_kPa;
    const said = `${loss.toFixed(3)} kPa lost in a minute at ${before.toFixed(1)} kPa, limit ${limit.toFixed(3)} kPa`;
    return loss <= limit
      ? passed(said)
      : failed(
          said,
          "Readings behind a leak are lower than the output.",
          "Tighten or renew fittings and hoses, then start again.",
        );
  },
};
