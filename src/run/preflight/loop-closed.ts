import { faultText } from "../../vocabulary/fault.ts";
import { rampTo } from "../approach.ts";
import { meanOf } from "../settling/rules/window.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";

const LOOK_S = 3;

/** The current that is commanded flows: measured by a meter of its own at the middle of the range. */
export const loopClosed: PreflightCheck = {
  name: "loop-closed",
  phase: "drive",
  run: function* ({ context }) {
    const track = context.monitor.current;
    if (track === null) return skipped("no current meter; what the source says it commands is believed");
    const moved = yield* rampTo(context, 50);
    const means = "The applied current is not known.";
    if (!moved.ok) return failed(faultText(moved.fault), means, "Check the source.");
    yield* context.wait(LOOK_S);
    const seen = track.readings(moved.value + 1, context.now_s()).map((r) => r.value.mA as number);
    if (seen.length === 0) return failed("the current meter gave no reading", means, "Check the meter and its line.");
    const [measured, commanded] = [meanOf(seen), context.commanded_mA ?? 0];
    const said = `commanded ${commanded.toFixed(3)} mA, measured ${measured.toFixed(3)} mA`;
    if (Math.abs(measured) < 0.1)
      return failed(said, "The loop is open.", "Check the wiring, the polarity and the loop supply.");
    return Math.abs(measured - commanded) <= context.request.preflight.loop_tolerance_mA
      ? passed(said)
      : failed(
          said,
          "The unit does not get what is commanded.",
          "Look for too little loop voltage, a leak to earth or a wrong shunt.",
        );
  },
};
