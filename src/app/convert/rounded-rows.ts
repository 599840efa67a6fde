import { roundToPlace, roundUncertainty } from "../../uncertainty/rounding.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { type Row, row } from "./row.ts";
import { type Written, writtenNumber } from "./written.ts";

const PREFIXES: Readonly<Record<string, number>> = { u: -6, m: -3, "": 0, k: 3, M: 6 };

/** Power of ten from one unit to another that differs by its prefix alone: `mg` to `g` is -3; null for other units. */
const powerBetween = (from: string, to: string): number | null => {
  if (from === to) return 0;
  for (const [a, powerA] of Object.entries(PREFIXES)) {
    for (const [b, powerB] of Object.entries(PREFIXES)) {
      const base = from.slice(a.length);
      if (base !== "" && from.startsWith(a) && to.startsWith(b) && base === to.slice(b.length)) return powerA - powerB;
    }
  }
  return null;
};

/** Shifted as decimal text, so that 27 mohm is 0.027 ohm to the last digit. */
const shifted = ({ value }: Written, power: number): number => {
  const [mantissa = "0", exponent = "0"] = value.toExponential().split("e");
  return Number(`${mantissa}e${Number(exponent) + power}`);
};

/** Share by which rounding may lower an uncertainty: none when it is to be rounded up, else 5 % (EA-4/02, from memory). */
const lowering = (up: boolean): number => (up ? 0 : 0.05);

/** A value and its uncertainty as they are printed (JCGM 100:2008, 7.2.2 and 7.2.6). */
export const roundedRows = (
  text: string,
  uncertainty: string,
  digits: 1 | 2,
  up: boolean,
): Result<readonly Row[], string> => {
  const value = writtenNumber(text);
  if (!value.ok) return value;
  const u = writtenNumber(uncertainty);
  if (!u.ok) return u;
  const { unit } = value.value;
  const power = powerBetween(u.value.unit === "" ? unit : u.value.unit, unit);
  if (power === null || !(u.value.value > 0)) {
    return err(
      `"${uncertainty}" is no uncertainty of ${text}; write one above 0, in ${unit === "" ? "no unit" : unit}.`,
    );
  }
  const rounded = roundUncertainty(shifted(u.value, power), digits, lowering(up));
  const own = roundUncertainty(u.value.value, digits, lowering(up));
  const shown = roundToPlace(value.value.value, rounded.place);
  const behind = rounded.text.replace(/^0\.0*/u, "");
  const after = unit === "" ? "" : ` ${unit}`;
  const ownUnit = u.value.unit === "" ? unit : u.value.unit;
  const inOwn = `${own.text}${ownUnit === "" ? "" : ` ${ownUnit}`}`;
  return ok([
    row("value", shown, unit),
    row("uncertainty", rounded.text, unit),
    row("uncertainty, as given", own.text, ownUnit),
    row("in words", `${shown}${after}, u = ${inOwn}`),
    row("short", `${shown}(${rounded.place < 0 ? behind : rounded.text})${after}`),
    row("long", `${shown}(${rounded.text})${after}`),
    row("plus-minus, for an expanded uncertainty", `(${shown} \u00b1 ${rounded.text})${after}`),
  ]);
};

/** An uncertainty alone. */
export const roundedUncertainty = (text: string, digits: 1 | 2, up: boolean): Result<readonly Row[], string> => {
  const u = writtenNumber(text);
  if (!u.ok) return u;
  return u.value.value > 0
    ? ok([row("uncertainty", roundUncertainty(u.value.value, digits, lowering(up)).text, u.value.unit)])
    : err(`An uncertainty is above 0, not ${text}.`);
};
