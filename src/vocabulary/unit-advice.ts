import { nearestWord } from "./nearest-word.ts";
import { isPressureUnit, pressureUnitNames } from "./pressure-units.ts";

/** A bare water or mercury column, and what it has to be written as. */
const BARE_COLUMNS: Readonly<Record<string, string>> = {
  inh2o: "inH2O(conventional), inH2O(4degC), inH2O(20degC) or inH2O(60degF)",
  mmh2o: "mmH2O(conventional), mmH2O(4degC) or mmH2O(20degC)",
  cmh2o: "cmH2O(conventional) or cmH2O(4degC)",
  fth2o: "ftH2O(conventional) or ftH2O(4degC)",
  mmhg: "mmHg(0degC)",
  cmhg: "cmHg(0degC)",
  inhg: "inHg(0degC) or inHg(60degF)",
};

/** Other ways to write a column, seen on gauges and in data sheets. */
const COLUMN_SPELLINGS: Readonly<Record<string, keyof typeof BARE_COLUMNS>> = {
  inwc: "inh2o",
  inwg: "inh2o",
  inh20: "inh2o",
  '"h2o': "inh2o",
  '"wc': "inh2o",
  mmwc: "mmh2o",
  mmwg: "mmh2o",
  mmh20: "mmh2o",
  '"hg': "inhg",
};

/** Other ways to write a unit that has one way here. */
const SPELLINGS: Readonly<Record<string, string>> = {
  "kg/cm2": "kgf/cm2",
  "kg/cm²": "kgf/cm2",
  "kgf/cm²": "kgf/cm2",
  "kp/cm2": "kgf/cm2",
  at: "kgf/cm2",
  "n/m2": "Pa",
  "lbf/in2": "psi",
  millibar: "mbar",
  pascal: "Pa",
  c: "degC",
  celsius: "degC",
  f: "degF",
  fahrenheit: "degF",
  milliamp: "mA",
  sec: "s",
  seconds: "s",
  minutes: "min",
  hours: "h",
  "%rdg": "%reading",
  "%ofrdg": "%reading",
  "%ofspan": "%span",
  "%ofreading": "%reading",
};

const squeeze = (unit: string): string => unit.replace(/\s+/gu, "").toLowerCase();

/** What to say about a unit that is not one of `known`; `number` is the number written before it. */
export const adviseUnit = (
  written: string,
  number: string,
  unit: string,
  known: readonly string[],
): { readonly message: string; readonly remedy: string } => {
  const key = squeeze(unit);
  const columns = BARE_COLUMNS[COLUMN_SPELLINGS[key] ?? key];
  if (columns !== undefined) {
    return {
      message: `"${written}" does not say at which reference condition the column stands; that moves it by up to 0.2 %.`,
      remedy: `Write ${columns}, as it is marked on the instrument.`,
    };
  }
  if (key === "%") return { message: `"${written}" does not say of what.`, remedy: "Write %span or %reading." };
  if (/^%(?:of)?(?:f\.?s\.?|fullscale|fso|range)$/u.test(key)) {
    return {
      message: `"${written}" may mean percent of the upper range value or of the span.`,
      remedy: "Write %span (percent of upper minus lower range value) or a pressure.",
    };
  }
  const mode = /^(?<base>.+?)\(?(?<letter>g|a|d|gauge|abs|absolute|diff)\)?$/u.exec(key);
  const base = known.find((name) => isPressureUnit(name) && name.toLowerCase() === mode?.groups?.["base"]);
  if (base !== undefined) {
    const word = { g: "gauge", a: "absolute", d: "differential" }[mode?.groups?.["letter"]?.[0] ?? "g"];
    return {
      message: `"${written}" hides ${word} in its unit.`,
      remedy: `Write ${number} ${base}; gauge, absolute or differential is said once, by the key mode.`,
    };
  }
  const right =
    SPELLINGS[key] ??
    known.find((name) => squeeze(name) === key) ??
    nearestWord(
      unit,
      [...known].filter((n) => n.length > 1),
    );
  return {
    message: `"${written}" has the unit ${unit}, which is not known.`,
    remedy:
      right === undefined || right === null
        ? `Pressure units are ${pressureUnitNames.join(", ")}; others are mA, degC, s, %span, %reading.`
        : `Write ${number} ${right}.`,
  };
};
