import type { Watched } from "../app/run-watch.ts";
import type { RunState } from "../run/run-state.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { handLines } from "./hand-view.ts";
import { pressureText } from "./pressure-text.ts";

/** The view of a run in a terminal, as lines of text. Pure: state in, lines out. */

export interface ViewOf {
  readonly unit: PressureUnit;
  readonly title: string;
  readonly width: number;
  readonly toPressure: (percent: number) => number;
}

/** Older than this, a reading must not look alive. */
const STALE_S = 3;

const clock = (s: number): string => {
  const whole = Math.max(0, Math.round(s));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
};

const signed = (value: number, decimals: number): string =>
  `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(decimals)}`;

const bar = (share: number, width: number): string => {
  const full = Math.round(Math.min(1, Math.max(0, share)) * width);
  return `[${"#".repeat(full)}${"-".repeat(width - full)}]`;
};

const stageText = (state: RunState): string => {
  const stage = (state.stage ?? "starting").replaceAll("-", " ");
  if (state.point === null) return stage;
  const { ordinal, of, direction, nominal_percent } = state.point;
  return `${stage}   point ${ordinal} of ${of}   ${direction}   ${nominal_percent} % of span`;
};

/** The reading, and how far it is from the target where there is one; neither once it is old. */
const readingText = ({ reading, now_s, target_percent }: RunState, view: ViewOf): string => {
  if (reading === null) return "no reading yet";
  const age = now_s - reading.at_s;
  if (age > STALE_S) return `no reading for ${age.toFixed(0)} s`;
  const off = target_percent === null ? "" : `   off target ${signed(reading.percent - target_percent, 2)} % of span`;
  return `${pressureText(reading.kPa, view.unit)}${off}`;
};

export const liveLines = ({ state, doing }: Watched, view: ViewOf): readonly string[] => {
  const slope = state.slope_percent_per_min;
  const target =
    state.target_percent === null
      ? "-"
      : `${state.target_percent} % of span = ${pressureText(view.toPressure(state.target_percent), view.unit)}`;
  const current =
    state.set_point === null
      ? "-"
      : `${state.set_point.mA.toFixed(3)} mA${state.current_mA === null ? "" : `, measured ${state.current_mA.toFixed(4)} mA`}`;
  const supply = state.supply_kPa === null ? "" : `   supply ${pressureText(state.supply_kPa, view.unit)}`;
  const barWidth = Math.max(10, Math.min(40, view.width - 40));
  return [
    `${state.simulated ? "SIMULATED  " : ""}${view.title}   elapsed ${clock(state.now_s)}`,
    `  ${stageText(state)}`,
    `  target   ${target}`,
    `  input    ${current}${supply}`,
    `  reading  ${readingText(state, view)}`,
    ...handLines(state, view),
    `  slope    ${slope === null ? "-" : `${signed(slope, 3)} % of span a minute`}`,
    `  ${doing}`,
    `  ${bar(state.share, barWidth)} ${Math.round(100 * state.share)} %   about ${clock(state.left_s)} left`,
  ].map((line) => (line.length > view.width ? `${line.slice(0, view.width - 1)}…` : line));
};

/** One line for an event that is worth a line of its own; null for the others. */
export const eventLine = ({ output, state }: Watched, view: ViewOf): string | null => {
  if (output.type === "live") return null;
  const { event, at_s } = output;
  const at = `${clock(at_s).padStart(6)}  `;
  switch (event.kind) {
    case "preflight-check": {
      const word = event.outcome === "failed" && event.overridden_by !== undefined ? "overridden" : event.outcome;
      const more = event.outcome === "failed" ? ` ${event.means ?? ""} ${event.remedy ?? ""}`.trimEnd() : "";
      return `${at}check ${event.check.replaceAll("-", " ")}: ${word}: ${event.saw}${more}`;
    }
    case "stage-started":
      return `${at}${event.stage.replaceAll("-", " ")} begins`;
    case "point-captured": {
      const { point } = event;
      const off = event.output_kPa - view.toPressure(point.nominal_percent);
      return `${at}point ${point.ordinal}/${state.point?.of ?? "?"} ${point.direction} ${point.nominal_percent} %: ${pressureText(event.output_kPa, view.unit)} (${signed(fromKilopascal(kPa(off), view.unit), 3)}), taken after ${event.settle_time_s.toFixed(1)} s${event.approach === "overshot" ? ", approached from the wrong side" : ""}`;
    }
    case "point-not-settled":
      return `${at}point ${event.point.ordinal} ${event.point.direction} ${event.point.nominal_percent} %: not taken: ${event.fault.message}`;
    case "exercised":
      return `${at}exercised to ${event.to_percent} %`;
    case "approach-repeated":
      return `${at}point ${event.point.ordinal}: went ${event.overshoot_percent.toFixed(2)} % past, approaching again`;
    case "as-found-frozen":
      return `${at}as found recorded and closed: ${event.points} points${event.missing > 0 ? `, ${event.missing} missing: ${event.reason ?? ""}` : ""}`;
    case "adjustment-outlook":
      return `${at}adjusting: ${event.words}`;
    case "hand-noticed":
      return `${at}noticed: ${event.what}`;
    case "lift-off-found":
      return `${at}lift-off at ${(event.measured_mA ?? event.commanded_mA).toFixed(4)} mA: zero error ${signed(event.zero_error_mA, 4)} mA, ${signed(event.zero_error_percent, 3)} % of span`;
    case "trace-taken":
      // The rest before each stretch of a search says nothing to anybody.
      if (event.name === "below") return null;
      return `${at}${event.name}: ${event.samples.at_s.length} readings`;
    case "hand-asked":
      return `${at}${event.what}: ${event.outcome}`;
    case "examination-ended":
      return `${at}test ${event.test}: ${event.outcome}${event.why === undefined ? "" : `: ${event.why}`}`;
    case "screw-turned":
      return `${at}${event.screw} turned: ${pressureText(event.before_kPa, view.unit)} to ${pressureText(event.after_kPa, view.unit)}, target ${pressureText(event.target_kPa, view.unit)}`;
    case "adjustment-ended":
      return `${at}adjusting ended: ${event.outcome.replaceAll("-", " ")}: ${event.why}`;
    case "run-resumed":
      return `${at}run goes on after a break of ${event.gap_s.toFixed(0)} s; touched meanwhile: ${event.touched}`;
    case "clock-stepped":
      return `${at}the computer's clock went ${Math.abs(event.by_s).toFixed(1)} s ${event.by_s < 0 ? "back" : "forward"}`;
    case "trouble":
      return `${at}${event.fault.message} ${event.fault.remedy ?? ""}`.trimEnd();
    case "source-left":
      return event.outcome === "safe"
        ? `${at}source left safe at ${event.current_mA?.toFixed(3)} mA`
        : `${at}HOW THE SOURCE WAS LEFT IS NOT KNOWN: ${(event.reason ?? "no answer").replace(/\.$/u, "")}. Shut the supply and switch the source off by hand.`;
    case "run-ended":
      return `${at}run ${event.ending}${event.fault === undefined ? "" : `: ${event.fault.message}`}`;
    default:
      return null;
  }
};
