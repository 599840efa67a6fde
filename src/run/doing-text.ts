import type { RunState } from "./run-state.ts";
import { cueText } from "./stages/adjusting-cue.ts";

const about = (expected_s: number | null): string => (expected_s === null ? "" : `, about ${Math.ceil(expected_s)} s`);

const left = (until_s: number, now_s: number): string => `${Math.max(0, Math.ceil(until_s - now_s))} s`;

/** What the run is doing, in the words a person at the bench is shown. */
export const doingText = ({ doing, now_s, source_left }: RunState): string => {
  switch (doing.kind) {
    case "not-started":
      return "not started";
    case "checking":
      return `checking: ${doing.check.replaceAll("-", " ")}`;
    case "approaching":
      return `going to ${doing.target_percent} %`;
    case "approaching-again":
      return `went ${doing.overshoot_percent.toFixed(2)} % past: approaching again`;
    case "moving":
      return `moving${about(doing.expected_s)}`;
    case "settling":
      return `settling${about(doing.expected_s)}`;
    case "steady":
      return doing.for_s < 2 ? "steady" : `steady for ${doing.for_s.toFixed(0)} s`;
    case "hunting":
      return `hunting: ${doing.amplitude_percent.toFixed(2)} % either way every ${doing.period_s.toFixed(1)} s`;
    case "drifting":
      return `drifting ${doing.rate_percent_per_min.toFixed(2)} % a minute`;
    case "not-settled":
      return `not steady after ${doing.waited_s.toFixed(0)} s`;
    case "silent":
      return `no reading for ${doing.for_s.toFixed(0)} s`;
    case "holding":
      return `${doing.why}: ${left(doing.until_s, now_s)} left`;
    case "waiting-for-hand":
      return doing.cue === undefined
        ? `waiting for your hand: turn ${doing.screw} until the gauge shows ${doing.target_kPa.toFixed(2)} kPa`
        : `${doing.screw}: ${cueText(doing.cue)}`;
    case "asking":
      return `waiting for you: ${doing.what}`;
    case "line-lost":
      return `line lost: waiting ${left(doing.until_s, now_s)} for it to come back`;
    case "making-safe":
      return "making the source safe";
    case "ended":
      return [
        { finished: "finished", stopped: "stopped", fault: "ended by a fault" }[doing.ending],
        source_left?.outcome === "unknown" ? "HOW THE SOURCE WAS LEFT IS NOT KNOWN" : "the source is safe",
      ].join("; ");
  }
};
