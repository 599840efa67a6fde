import type { RunState } from "../run/run-state.ts";
import type { TurnCue } from "../run/stages/adjusting-cue.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { bigDigits } from "./big-digits.ts";

/** What each key answers while a screw is being turned: one key, so that a foot switch can send it. */
export const TURN_KEYS = "space = hand off; n = no effect; g = give up";

/** Older than this, a reading must not look alive. */
const STALE_S = 3;

const WORDS: Readonly<Record<TurnCue["kind"], string>> = {
  turn: "TURN",
  wait: "STOP, WAIT",
  "other-way": "OTHER WAY",
  "hand-off": "HAND OFF: THERE",
  "nothing-moves": "NO EFFECT SEEN",
  "no-flow": "RAISE",
  flow: "FLOWS: BRING IT BACK",
  gone: "OUTPUT GONE",
};

const numberText = (value: number, unit: PressureUnit): string => {
  const decimals = unit === "Pa" ? 0 : unit === "bar" ? 5 : unit === "MPa" ? 6 : Math.abs(value) < 10 ? 3 : 2;
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(decimals)}`;
};

/**
 * What the hand needs at a glance: how far the output has to go in the owner's unit, large, and the one word of what to
 * do. Nothing while no hand is waited for.
 */
export const handLines = (
  { doing, reading, now_s }: RunState,
  view: { readonly unit: PressureUnit; readonly width: number },
): readonly string[] => {
  if (doing.kind !== "waiting-for-hand" || reading === null) return [];
  const screw = doing.screw.toUpperCase();
  if (now_s - reading.at_s > STALE_S) return ["", `  ${screw}   NO READING   ${TURN_KEYS}`, ""];
  const number = numberText(fromKilopascal(kPa(doing.target_kPa - reading.kPa), view.unit), view.unit);
  const target = `${fromKilopascal(kPa(doing.target_kPa), view.unit).toFixed(3)} ${view.unit}`;
  return [
    "",
    ...(bigDigits(number, view.width - 2) ?? [number]).map((line) => `  ${line}`),
    "",
    `  ${screw}   ${doing.cue === undefined ? "TURN" : WORDS[doing.cue.kind]}   ${number} ${view.unit} to go to ${target}`,
    `  ${TURN_KEYS}`,
    "",
  ];
};
