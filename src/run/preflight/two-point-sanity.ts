import { type Fault, faultText } from "../../vocabulary/fault.ts";
import { type Finding, failed, type PreflightCheck, passed } from "./check.ts";
import { goAndStand } from "./stand-still.ts";

/** Far beyond any unit worth adjusting, near enough for a wrong range or unit to show. % of span. */
const FAR = 20;

const LOW = 0;
const MIDDLE = 50;

const WRONG = "A calibration of what is connected would be meaningless.";

const stuck = (fault: Fault): Finding =>
  failed(faultText(fault), "The output cannot be judged.", "Check air, tubing and unit, and start again.");

/** The output at the low end and at half range: right sense, right range, right unit. */
export const twoPointSanity: PreflightCheck = {
  name: "two-point-sanity",
  phase: "drive",
  run: function* ({ context }) {
    const low = yield* goAndStand(context, LOW);
    if (!low.ok) return stuck(low.fault);
    const mid = yield* goAndStand(context, MIDDLE);
    if (!mid.ok) return stuck(mid.fault);
    const travel = mid.value - low.value;
    const wanted = MIDDLE - LOW;
    const said = `${context.toPressure(low.value).toFixed(2)} kPa where ${context.toPressure(LOW).toFixed(2)} kPa is ideal, ${context.toPressure(mid.value).toFixed(2)} kPa where ${context.toPressure(MIDDLE).toFixed(2)} kPa is ideal`;
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
    return Math.abs(low.value - LOW) > FAR || Math.abs(travel / wanted - 1) > FAR / 50
      ? failed(
          `${said}: not the range that was expected`,
          WRONG,
          "Check input range, output range and the unit shown on the gauge.",
        )
      : passed(said);
  },
};
