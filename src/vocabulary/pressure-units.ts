import { type Kilopascal, kPa } from "./quantities.ts";

/**
 * Pressure units and their factor to pascal. Source of the factors: NIST SP 811 (2008), Appendix B.8/B.9, and the exact
 * definitions behind it. A water or mercury column is never written without its reference condition: the reference
 * temperature moves inH2O by about 0.18 %. A unit never says gauge, absolute or differential; `PressureMode` does.
 */
export interface PressureUnitDefinition {
  /** How the unit is written, in files and in print. */
  readonly symbol: string;
  /** Pascals in one unit. */
  readonly pascal: number;
  /** Where the factor comes from; for a column, the density it stands for. Fit for print beside a converted value. */
  readonly basis: string;
}

const STANDARD_GRAVITY = 9.80665; // m/s2, exact, CGPM 1901
const INCH = 0.0254; // m, exact
const POUND = 0.45359237; // kg, exact

const WATER_CONVENTIONAL = 1000; // kg/m3, conventional
const WATER_4_DEGC = 999.972; // kg/m3, reproduces SP 811's inH2O (4 degC)
const WATER_60_DEGF = 999.001; // kg/m3, reproduces SP 811's inH2O (60 degF)
const WATER_20_DEGC = 998.203; // kg/m3, Bettin and Spieweck formula, ITS-90
const MERCURY_0_DEGC = 13595.1; // kg/m3, conventional; SP 811 also prints inHg (32 degF), 2.6e-6 smaller
const MERCURY_60_DEGF = 13556.8; // kg/m3, reproduces SP 811's inHg (60 degF)

/** Pressure of a column of `height` metres of a liquid of `density` kg/m3, in Pa. */
const column = (height: number, density: number): number => height * density * STANDARD_GRAVITY;

const DEFINITIONS = {
  Pa: { symbol: "Pa", pascal: 1, basis: "SI" },
  hPa: { symbol: "hPa", pascal: 100, basis: "SI" },
  kPa: { symbol: "kPa", pascal: 1e3, basis: "SI" },
  MPa: { symbol: "MPa", pascal: 1e6, basis: "SI" },
  bar: { symbol: "bar", pascal: 1e5, basis: "exact" },
  mbar: { symbol: "mbar", pascal: 100, basis: "exact" },
  psi: { symbol: "psi", pascal: (POUND * STANDARD_GRAVITY) / INCH ** 2, basis: "lbf/in2, exact" },
  "kgf/cm2": { symbol: "kgf/cm2", pascal: STANDARD_GRAVITY * 1e4, basis: "exact" },
  atm: { symbol: "atm", pascal: 101325, basis: "exact" },
  torr: { symbol: "torr", pascal: 101325 / 760, basis: "atm/760" },
  "mmHg(0degC)": { symbol: "mmHg(0degC)", pascal: column(1e-3, MERCURY_0_DEGC), basis: "13595.1 kg/m3" },
  "cmHg(0degC)": { symbol: "cmHg(0degC)", pascal: column(1e-2, MERCURY_0_DEGC), basis: "13595.1 kg/m3" },
  "inHg(0degC)": { symbol: "inHg(0degC)", pascal: column(INCH, MERCURY_0_DEGC), basis: "13595.1 kg/m3" },
  "inHg(60degF)": { symbol: "inHg(60degF)", pascal: column(INCH, MERCURY_60_DEGF), basis: "13556.8 kg/m3" },
  "inH2O(conventional)": {
    symbol: "inH2O(conventional)",
    pascal: column(INCH, WATER_CONVENTIONAL),
    basis: "1000 kg/m3",
  },
  "inH2O(4degC)": { symbol: "inH2O(4degC)", pascal: column(INCH, WATER_4_DEGC), basis: "999.972 kg/m3" },
  "inH2O(20degC)": { symbol: "inH2O(20degC)", pascal: column(INCH, WATER_20_DEGC), basis: "998.203 kg/m3" },
  "inH2O(60degF)": { symbol: "inH2O(60degF)", pascal: column(INCH, WATER_60_DEGF), basis: "999.001 kg/m3" },
  "ftH2O(conventional)": {
    symbol: "ftH2O(conventional)",
    pascal: column(12 * INCH, WATER_CONVENTIONAL),
    basis: "1000 kg/m3",
  },
  "ftH2O(4degC)": { symbol: "ftH2O(4degC)", pascal: column(12 * INCH, WATER_4_DEGC), basis: "999.972 kg/m3" },
  "cmH2O(conventional)": {
    symbol: "cmH2O(conventional)",
    pascal: column(1e-2, WATER_CONVENTIONAL),
    basis: "1000 kg/m3",
  },
  "cmH2O(4degC)": { symbol: "cmH2O(4degC)", pascal: column(1e-2, WATER_4_DEGC), basis: "999.972 kg/m3" },
  "mmH2O(conventional)": {
    symbol: "mmH2O(conventional)",
    pascal: column(1e-3, WATER_CONVENTIONAL),
    basis: "1000 kg/m3",
  },
  "mmH2O(4degC)": { symbol: "mmH2O(4degC)", pascal: column(1e-3, WATER_4_DEGC), basis: "999.972 kg/m3" },
  "mmH2O(20degC)": { symbol: "mmH2O(20degC)", pascal: column(1e-3, WATER_20_DEGC), basis: "998.203 kg/m3" },
} as const satisfies Record<string, PressureUnitDefinition>;

export type PressureUnit = keyof typeof DEFINITIONS;

export const PRESSURE_UNITS: Readonly<Record<PressureUnit, PressureUnitDefinition>> = DEFINITIONS;

export const pressureUnitNames = Object.keys(DEFINITIONS) as readonly PressureUnit[];

export const isPressureUnit = (text: string): text is PressureUnit => Object.hasOwn(DEFINITIONS, text);

/** `value` in `unit` to kPa. */
export const toKilopascal = (value: number, unit: PressureUnit): Kilopascal =>
  kPa(unit === "kPa" ? value : (value * DEFINITIONS[unit].pascal) / 1e3);

/** kPa to `unit`. */
export const fromKilopascal = (pressure: Kilopascal, unit: PressureUnit): number =>
  unit === "kPa" ? pressure : (pressure * 1e3) / DEFINITIONS[unit].pascal;

/** A pressure in the owner's unit with at most seven significant digits, for messages: `20.68427 kPa`, `3 psi`. */
export const pressureText = (pressure: Kilopascal, unit: PressureUnit): string =>
  `${Number(fromKilopascal(pressure, unit).toPrecision(7))} ${unit}`;
