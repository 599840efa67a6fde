import { type Fault, faultText } from "../../vocabulary/fault.ts";
import { adjustmentEnds } from "../stages/adjusting.ts";
import { type Finding, failed, type PreflightCheck, passed } from "./check.ts";
import { goAndStand } from "./stand-still.ts";

/** Far beyond any unit worth adjusting, near enough for a wrong range or unit to show. % of span. */
const FAR = 20;

const WRONG = "A calibration of what is connected would be meaningless.";

const stuck = (fault: Fault): Finding =>
  failed(faultText(fault), "The output cannot be judged.", "Check air, tubing and unit, and start again.");

/** The output at the low end and at half range: right sense, right range, right unit. */
export const twoPointSanity: PreflightCheck = {
  name: "two-point-sanity",
  phase: "drive",
  run: function* ({ context }) {
    const ends = adjustmentEnds(context.request.plan);
    const middle = (ends.lower_percent + ends.upper_percent) / 2;
    const low = yield* goAndStand(context, ends.lower_percent);
    if (!low.ok) return stuck(low.fault);
    const mid = yield* goAndStand(context, middle);
    if (!mid.ok) return stuck(mid.fault);
    const travel = mid.value - low.value;
    const wanted = middle - ends.lower_percent;
    const said = `${context.toPressure(low.value).toFixed(2)} kPa where ${context.toPressure(ends.lower_percent).toFixed(2)} kPa is ideal, ${context.toPressure(mid.value).toFixed(2)} kPa where ${context.toPressure(middle).toFixed(2)} kPa is ideal`;
    if (Math.abs(travel) < wanted / 20)
      return failed(
        `${said}: the output does not follow`,
        WRONG,
        "Check air supply, tubing, loop wiring and the lock of the unit.",
      );
    if (travel < 0)
      return failed(
        `${said}: the output moves the other way`,
        WRONG,
        "Check action (direct or reverse) in the unit file and the polarity of the loop.",
      );
    return Math.abs(low.value - ends.lower_percent) > FAR || Math.abs(travel / wanted - 1) > FAR / 50
      ? failed(
          `${said}: not the range that was expected`,
          WRONG,
          "Check input range, output range and the unit shown on the gauge.",
        )
      : passed(said);
  },
};
