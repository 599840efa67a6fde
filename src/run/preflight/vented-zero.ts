import { faultText } from "../../vocabulary/fault.ts";
import { ventTo } from "../approach.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";
import { standStill } from "./stand-still.ts";

/** An absolute gauge open to the air reads the barometer; anything outside this is no weather (common practice, no source). */
const BAROMETER = { lower_kPa: 60, upper_kPa: 108 };

/** Vented, a gauge reads near zero within its own uncertainty: a tare left on or a wrong mode shows here. */
export const ventedZero: PreflightCheck = {
  name: "vented-zero",
  phase: "drive",
  run: function* ({ context }) {
    const { gauge, vent_mA, vent_tolerance_kPa } = context.request.preflight;
    if (vent_mA === null) return skipped("the unit does not vent by current; check the gauge open to the air by hand");
    const moved = yield* ventTo(context, vent_mA);
    const stood = moved.ok ? yield* standStill(context, "vent") : moved;
    if (!stood.ok)
      return failed(faultText(stood.fault), "The zero of the gauge is not known.", "Vent and look at the gauge.");
    const pressure = context.toPressure(stood.value);
    const remedy = "Take off any tare, check that the gauge is open to the air, and check its mode.";
    if (gauge.mode === "absolute") {
      const said = `vented, the absolute gauge reads ${pressure.toFixed(3)} kPa`;
      return pressure >= BAROMETER.lower_kPa && pressure <= BAROMETER.upper_kPa
        ? passed(said)
        : failed(said, "That is no barometric pressure.", remedy);
    }
    const limit = gauge.U_kPa + vent_tolerance_kPa;
    const said = `vented, the gauge reads ${pressure.toFixed(3)} kPa, limit ${limit.toFixed(3)} kPa`;
    return Math.abs(pressure) <= limit
      ? passed(said)
      : failed(
          said,
          "Either the gauge carries this offset into every reading, or the unit does not vent at this current.",
          remedy,
        );
  },
};
