import { faultText } from "../../vocabulary/fault.ts";
import { rampTo } from "../approach.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";
import { readVented } from "./vented-zero.ts";

/** Share of the tolerance of the vented reading that it may move by between start and end; common practice, no source. */
const SHARE = 1 / 3;

/** Somebody who zeroes or tares the gauge during a run, or a gauge that drifts, shows as a step of the vented reading. */
export const zeroAfter: PreflightCheck = {
  name: "zero-after",
  phase: "after",
  run: function* ({ context }) {
    const { gauge, vent_mA, vent_tolerance_kPa } = context.request.preflight;
    const before = context.vented_kPa;
    if (vent_mA === null || before === null)
      return skipped("there is no vented reading from the start to compare with");
    if (context.happened("screw-turned"))
      return skipped("a screw was turned, which moves the vented output; compare the gauge open to the air by hand");
    // Down as gently as it went up, then vented.
    const down = yield* rampTo(context, 0);
    if (!down.ok) return failed(faultText(down.fault), "The output was not vented.", "Check the source.");
    const vented = yield* readVented(context, vent_mA);
    if (!vented.ok)
      return failed(
        faultText(vented.fault),
        "The zero of the gauge at the end is not known.",
        "Vent and look at the gauge.",
      );
    const limit = gauge.U_kPa + SHARE * vent_tolerance_kPa;
    const moved = vented.value - before;
    const said = `vented, the gauge reads ${vented.value.toFixed(3)} kPa, ${before.toFixed(3)} kPa at the start; limit of the difference ${limit.toFixed(3)} kPa`;
    const finding =
      Math.abs(moved) <= limit
        ? passed(said)
        : failed(
            said,
            "The zero of the gauge moved during the run, so the readings do not belong together.",
            "Leave zero and tare alone during a run; let the gauge warm up, then run again.",
          );
    return { ...finding, vented_kPa: vented.value };
  },
};
