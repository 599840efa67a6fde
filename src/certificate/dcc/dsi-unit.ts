import type { PressureUnit } from "../../vocabulary/pressure-units.ts";

/**
 * Units of the D-SI: words behind backslashes, prefix first, `\per` once, `\tothe{n}` behind a unit. The form is seen in
 * published certificates; single names are from memory of the BIPM's SI Brochure (tables 2 to 8) and its D-SI spelling.
 */
const PREFIXES = new Set(
  "deca hecto kilo mega giga tera peta exa zetta yotta deci centi milli micro nano pico femto atto zepto yocto".split(
    " ",
  ),
);

const UNITS = new Set(
  (
    "metre kilogram second ampere kelvin mole candela one radian steradian hertz newton pascal joule watt coulomb volt " +
    "farad ohm siemens weber tesla henry degreecelsius lumen lux becquerel sievert gray katal gram day hour minute " +
    "degree arcminute arcsecond hectare litre tonne electronvolt dalton astronomicalunit bar mmHg percent ppm neper " +
    "bel decibel knot nauticalmile angstrom barn"
  ).split(" "),
);

/** Is this text a unit that a machine can read? */
export const isDsiUnit = (text: string): boolean => {
  const words = [...text.matchAll(/\\([A-Za-z]+)(?:\{(-?\d+(?:\.\d+)?)\})?/g)];
  if (words.length === 0 || words.map((w) => w[0]).join("") !== text) return false;
  let waiting: "unit" | "prefix-or-unit" | "anything" = "prefix-or-unit";
  let divided = false;
  for (const [, word = "", power] of words) {
    if (word === "tothe") {
      if (power === undefined || waiting !== "anything") return false;
    } else if (power !== undefined) return false;
    else if (word === "per") {
      if (divided || waiting !== "anything") return false;
      divided = true;
      waiting = "prefix-or-unit";
    } else if (UNITS.has(word)) waiting = "anything";
    else if (PREFIXES.has(word) && waiting !== "unit") waiting = "unit";
    else return false;
  }
  return waiting === "anything";
};

export const DSI = {
  kPa: "\\kilo\\pascal",
  mA: "\\milli\\ampere",
  percent: "\\percent",
  degC: "\\degreecelsius",
  hPa: "\\hecto\\pascal",
  kPa_per_mA: "\\kilo\\pascal\\per\\milli\\ampere",
  one: "\\one",
} as const;

const PRESSURES: Partial<Readonly<Record<PressureUnit, string>>> = {
  Pa: "\\pascal",
  hPa: DSI.hPa,
  kPa: DSI.kPa,
  MPa: "\\mega\\pascal",
  bar: "\\bar",
  mbar: "\\milli\\bar",
};

/** A pressure unit as D-SI writes it; null when it has no name there, as psi and the water columns. */
export const dsiPressure = (unit: PressureUnit): string | null => PRESSURES[unit] ?? null;
