/**
 * Decimal texts for paper. Data keep the plain form ("-1234.5": ASCII hyphen, point, no grouping); paper gets the minus
 * sign, the decimal mark of the language, thin spaces between groups of three and no-break spaces before units.
 * Rules: SI Brochure, 9th edition, 5.4.3 and 5.4.4.
 */
export type Language = "en" | "de";

const DECIMAL_MARK: Readonly<Record<Language, string>> = { en: ".", de: "," };

export const MINUS = "\u2212";
export const NO_BREAK_SPACE = "\u00A0";
/** Narrow no-break space: a thin space that never lets a number part at a line end. */
export const GROUP_SPACE = "\u202F";

const PLAIN = /^(-?)(\d+)(?:\.(\d+))?$/;

/** Groups of three counted from the decimal mark; four digits stay together. */
const groupedFromRight = (digits: string): string =>
  digits.length <= 4 ? digits : digits.replace(/\B(?=(\d{3})+$)/g, GROUP_SPACE);
const groupedFromLeft = (digits: string): string =>
  digits.length <= 4 ? digits : digits.replace(/(\d{3})(?=\d)/g, `$1${GROUP_SPACE}`);

/** A plain decimal text as it is printed. Throws on anything else: a caller that rounds late is a mistake in the code. */
export const printNumber = (plain: string, language: Language): string => {
  const match = PLAIN.exec(plain);
  if (match === null) throw new Error(`"${plain}" is not a plain decimal text`);
  const [, sign, whole = "", fraction = ""] = match;
  const negative = sign === "-" && /[1-9]/.test(plain);
  const tail = fraction === "" ? "" : DECIMAL_MARK[language] + groupedFromLeft(fraction);
  return (negative ? MINUS : "") + groupedFromRight(whole) + tail;
};

/** Number and unit, which never part at a line end. */
export const printQuantity = (plain: string, unit: string, language: Language): string =>
  `${printNumber(plain, language)}${NO_BREAK_SPACE}${unit.replaceAll(" ", NO_BREAK_SPACE)}`;

/** Back from paper to the plain form, for checks that read a printed page. */
export const plainNumber = (printed: string, language: Language): string =>
  printed.replaceAll(GROUP_SPACE, "").replaceAll(MINUS, "-").replaceAll(DECIMAL_MARK[language], ".");

/** Unit symbols as printed; file texts keep to ASCII. */
const PRINTED_UNITS: Readonly<Record<string, string>> = {
  "kgf/cm2": "kgf/cm²",
  "mmHg(0degC)": "mmHg (0 °C)",
  "inHg(0degC)": "inHg (0 °C)",
  "inH2O(conventional)": "inH₂O (conventional)",
  "inH2O(4degC)": "inH₂O (4 °C)",
  "inH2O(20degC)": "inH₂O (20 °C)",
  "inH2O(60degF)": "inH₂O (60 °F)",
  "ftH2O(conventional)": "ftH₂O (conventional)",
  "ftH2O(4degC)": "ftH₂O (4 °C)",
  "cmHg(0degC)": "cmHg (0 °C)",
  "inHg(60degF)": "inHg (60 °F)",
  "cmH2O(conventional)": "cmH₂O (conventional)",
  "cmH2O(4degC)": "cmH₂O (4 °C)",
  "mmH2O(20degC)": "mmH₂O (20 °C)",
  "mmH2O(conventional)": "mmH₂O (conventional)",
  "mmH2O(4degC)": "mmH₂O (4 °C)",
  degC: "°C",
};
export const printUnit = (symbol: string): string => (PRINTED_UNITS[symbol] ?? symbol).replaceAll(" ", NO_BREAK_SPACE);
