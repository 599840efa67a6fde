import { faultText } from "../../vocabulary/fault.ts";
import { meanOf } from "../settling/rules/window.ts";
import { failed, type PreflightCheck, passed } from "./check.ts";
import { goAndStand } from "./stand-still.ts";

const TOP = 100;
const LOOK_S = 3;
/** A unit worth adjusting is not farther from its top than this; common practice, no source. % of span. */
const FAR_PERCENT = 15;

/**
 * The top of the range is where a loop runs out of voltage and an output out of air: current, output and supply are
 * looked at there, while air flows.
 */
export const topOfRange: PreflightCheck = {
  name: "top-of-range",
  phase: "drive",
  run: function* ({ context }) {
    const { monitor, request } = context;
    const stood = yield* goAndStand(context, TOP);
    // A unit that hunts at its top is a finding of the run; here loop and air are looked at all the same.
    const isRestless = !stood.ok && stood.fault.kind === "unit";
    if (!stood.ok && !isRestless)
      return failed(faultText(stood.fault), "The top of the range cannot be judged.", "Check loop, air and unit.");
    const from_s = context.now_s();
    yield* context.wait(monitor.current === null && monitor.supply === null ? 0 : LOOK_S);
    const currents = (monitor.current?.readings(from_s, context.now_s()) ?? []).map((r) => r.value.mA as number);
    const supplies = (monitor.supply?.readings(from_s, context.now_s()) ?? []).map((r) => r.value.kPa as number);
    const commanded = context.commanded_mA ?? 0;
    const output = stood.ok
      ? `${context.toPressure(stood.value).toFixed(2)} kPa where ${context.toPressure(TOP).toFixed(2)} kPa is ideal`
      : "the output does not stand still";
    const current = currents.length === 0 ? null : meanOf(currents);
    const supply = supplies.length === 0 ? null : meanOf(supplies);
    const said = [
      output,
      ...(current === null ? [] : [`${current.toFixed(3)} mA flow where ${commanded.toFixed(3)} mA are commanded`]),
      ...(supply === null ? [] : [`supply ${supply.toFixed(1)} kPa`]),
    ].join(", ");
    if (current !== null && Math.abs(current - commanded) > request.preflight.loop_tolerance_mA) {
      const volt = "The voltage left over is the loop supply less current times the resistance of loop and unit.";
      return failed(
        said,
        current < commanded
          ? "The source runs out of voltage before the top of the range (compliance): the upper points would be flat."
          : "More flows than is commanded.",
        `Take resistance out of the loop, raise its supply, or look for a leak to earth. ${volt}`,
      );
    }
    const band = request.preflight.supply;
    const isKnown = request.overrides?.["supply-in-band"] !== undefined;
    if (supply !== null && band !== null && !isKnown && supply < band.lower_kPa) {
      return failed(
        `${said}, rated from ${band.lower_kPa.toFixed(1)} kPa`,
        "The supply droops under flow: the top points would be too low and come back slowly.",
        "Open the regulator, use a wider supply hose, and look at the filter.",
      );
    }
    return stood.ok && Math.abs(stood.value - TOP) > FAR_PERCENT
      ? failed(
          said,
          "The output does not reach its top.",
          "Check the supply while air flows, the tubing for leaks, and the output range in the unit file.",
        )
      : passed(said);
  },
};
