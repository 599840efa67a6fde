import type { TurnWish } from "../app/person-hand.ts";
import type { RunState } from "../run/run-state.ts";
import type { TurnCue } from "../run/stages/adjusting-cue.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa } from "../vocabulary/quantities.ts";
import { bigDigits } from "./big-digits.ts";
import { pressureText } from "./pressure-text.ts";

/** What each key answers while a screw is being turned: one key, so that a foot switch can send it. */
export const TURN_KEYS = "space or Enter = hand off; n = no effect; g = give up";

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

/** What a person is asked at the screw, once. */
export const turnQuestion = ({ screw, target_kPa, within_kPa, lift_off }: TurnWish, unit: PressureUnit): string =>
  lift_off === undefined
    ? `Turn ${screw.toUpperCase()} slowly until the gauge shows ${pressureText(target_kPa, unit)}, within ${pressureText(within_kPa, unit)}.`
    : `Raise ZERO slowly to the first sign of flow, ${pressureText(lift_off.sign_kPa, unit)} above none, then bring it back until none shows.`;

/** What to do as a sign that is as large as the number: up, down, stop, there, look. */
const signOf = (cue: TurnCue | undefined): string => {
  switch (cue?.kind) {
    case undefined:
      return "";
    case "turn":
    case "other-way":
      return cue.missing_kPa >= 0 ? "^" : "v";
    case "no-flow":
      return "^";
    case "flow":
      return "v";
    case "wait":
      return "x";
    case "hand-off":
      return "=";
    case "nothing-moves":
    case "gone":
      return "?";
  }
};

/** The number with its sign of what to do, as large as there is room for. */
const large = (sign: string, number: string, width: number): readonly string[] =>
  (sign === "" ? null : bigDigits(`${sign} ${number}`, width)) ?? bigDigits(number, width) ?? [number];

/**
 * What the hand needs at a glance: how far the output has to go in the owner's unit, or how much flows where zero is set
 * by lift-off, large, with the one sign and word of what to do. Nothing while no hand is waited for.
 */
export const handLines = (
  { doing, reading, now_s }: RunState,
  view: { readonly unit: PressureUnit; readonly width: number },
): readonly string[] => {
  if (doing.kind !== "waiting-for-hand" || reading === null) return [];
  const screw = doing.screw.toUpperCase();
  if (now_s - reading.at_s > STALE_S) return ["", `  ${screw}   NO READING   ${TURN_KEYS}`, ""];
  const { lift_off, cue, target_kPa } = doing;
  const inUnit = (pressure: number): number => fromKilopascal(kPa(pressure), view.unit);
  const shown = lift_off === undefined ? target_kPa - reading.kPa : reading.kPa - lift_off.floor_kPa;
  const number = numberText(inUnit(shown), view.unit);
  const word = cue === undefined ? "TURN" : WORDS[cue.kind];
  const what =
    lift_off === undefined
      ? `${number} ${view.unit} to go to ${inUnit(target_kPa).toFixed(3)} ${view.unit}`
      : `${number} ${view.unit} flow; none is below ${inUnit(lift_off.sign_kPa).toFixed(3)} ${view.unit}`;
  return [
    "",
    ...large(signOf(cue), number, view.width - 2).map((line) => `  ${line}`),
    "",
    `  ${screw}   ${word}   ${what}`,
    `  ${TURN_KEYS}`,
    "",
  ];
};
