import { meanOf } from "../settling/rules/window.ts";
import { failed, type PreflightCheck, passed, skipped } from "./check.ts";

const LOOK_S = 3;

/** Too little supply droops the top point; too much may harm the unit. */
export const supplyInBand: PreflightCheck = {
  name: "supply-in-band",
  phase: "look",
  run: function* ({ context }) {
    const band = context.request.preflight.supply;
    const track = context.monitor.supply;
    if (track === null || band === null) return skipped("no supply gauge; read the regulator's own gauge");
    const from_s = context.now_s();
    yield* context.wait(LOOK_S);
    const readings = track.readings(from_s, context.now_s()).map((r) => r.value.kPa as number);
    const wanted = `${band.lower_kPa.toFixed(1)} to ${band.upper_kPa.toFixed(1)} kPa`;
    if (readings.length === 0)
      return failed("the supply gauge gave no reading", "The supply is not known.", "Check the supply gauge.");
    const mean = meanOf(readings);
    const said = `supply ${mean.toFixed(1)} kPa, rated ${wanted}`;
    if (mean < band.lower_kPa)
      return failed(said, "The output cannot reach its top and returns slowly.", "Open or raise the regulator.");
    return mean > band.upper_kPa
      ? failed(said, "The unit may be harmed.", "Lower the regulator before anything is driven.")
      : passed(said);
  },
};
