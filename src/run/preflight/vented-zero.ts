import type { Fault } from "../../vocabulary/fault.ts";
import { faultText } from "../../vocabulary/fault.ts";
import type { Result } from "../../vocabulary/result.ts";
import { ventTo } from "../approach.ts";
import type { RunContext } from "../run-context.ts";
import type { Script } from "../script.ts";
import { type Finding, failed, type PreflightCheck, passed, skipped } from "./check.ts";
import { standStill } from "./stand-still.ts";

/** An absolute gauge open to the air reads the barometer; anything outside this is no weather (common practice, no source). */
const BAROMETER = { lower_kPa: 60, upper_kPa: 108 };
/** A reading this far up the range is no zero that drifted: the output was not vented at all. % of span. */
const NOT_VENTED_PERCENT = 25;

/** Vents, and gives what the gauge then shows, kPa. */
export function* readVented(context: RunContext, vent_mA: number): Script<Result<number, Fault>> {
  const moved = yield* ventTo(context, vent_mA);
  const stood = moved.ok ? yield* standStill(context, "vent") : moved;
  return stood.ok ? { ok: true, value: context.toPressure(stood.value) } : stood;
}

/** Is that what a gauge shows of a vented output? */
const judged = (context: RunContext, pressure: number): Finding => {
  const { gauge, vent_tolerance_kPa } = context.request.preflight;
  const remedy = "Take off any tare, check that the gauge is open to the air, and check its mode.";
  if (gauge.mode === "absolute") {
    const said = `vented, the absolute gauge reads ${pressure.toFixed(3)} kPa`;
    return pressure >= BAROMETER.lower_kPa && pressure <= BAROMETER.upper_kPa
      ? passed(said)
      : failed(said, "That is no barometric pressure.", remedy);
  }
  const limit = gauge.U_kPa + vent_tolerance_kPa;
  const said = `vented, the gauge reads ${pressure.toFixed(3)} kPa, limit ${limit.toFixed(3)} kPa`;
  if (Math.abs(pressure) <= limit) return passed(said);
  if (pressure >= BAROMETER.lower_kPa && pressure <= BAROMETER.upper_kPa) {
    return failed(
      said,
      "It reads what the barometer does: the gauge may be one for absolute pressure, or the unit does not vent at this current because its action is reverse.",
      remedy,
    );
  }
  return context.toPercent(pressure) > NOT_VENTED_PERCENT
    ? failed(
        said,
        "The output stays up at the current that ought to vent it: the action may be reverse, or the input range another.",
        "Check action and input range in the unit file, then the polarity of the loop.",
      )
    : failed(
        said,
        "Either the gauge carries this offset into every reading, or the unit does not vent at this current.",
        remedy,
      );
};

/** Vented, a gauge reads near zero within its own uncertainty: a tare left on or a wrong mode shows here. */
export const ventedZero: PreflightCheck = {
  name: "vented-zero",
  phase: "drive",
  run: function* ({ context }) {
    const { vent_mA } = context.request.preflight;
    if (vent_mA === null) return skipped("the unit does not vent by current; check the gauge open to the air by hand");
    const vented = yield* readVented(context, vent_mA);
    if (!vented.ok)
      return failed(faultText(vented.fault), "The zero of the gauge is not known.", "Vent and look at the gauge.");
    context.vented_kPa = vented.value;
    return { ...judged(context, vented.value), vented_kPa: vented.value };
  },
};
