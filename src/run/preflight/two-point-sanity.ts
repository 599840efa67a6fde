import { type Fault, faultText } from "../../vocabulary/fault.ts";
import { type Finding, failed, type PreflightCheck, passed } from "./check.ts";
import { goAndStand } from "./stand-still.ts";
import { unitFactorHint } from "./unit-factor.ts";

/**
 * Far beyond any unit worth adjusting, near enough for a wrong range or unit to show; common practice, no source. Zero in
 * % of span: a 0-20 mA unit stands 20 % too high at 4 mA. Span as a share of the travel that is wanted.
 */
const FAR_ZERO_PERCENT = 15;
const FAR_SPAN = 0.3;

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
        `Check air supply, tubing, loop wiring, the lock of the unit, and that the gauge is not in hold.${unitFactorHint(travel / wanted)}`,
      );
    if (travel < 0)
      return failed(
        `${said}: the output moves the other way`,
        WRONG,
        "Check action (direct or reverse) in the unit file, and the polarity of the loop.",
      );
    return Math.abs(low.value - LOW) > FAR_ZERO_PERCENT || Math.abs(travel / wanted - 1) > FAR_SPAN
      ? failed(
          `${said}: not the range that was expected`,
          WRONG,
          `Check input range (4-20, 0-20, 10-50 mA), output range and the unit shown on the gauge.${unitFactorHint(travel / wanted)}`,
        )
      : passed(said);
  },
};
