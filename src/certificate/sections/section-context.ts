import { roundToPlace, roundUncertainty } from "../../uncertainty/rounding.ts";
import { PRESSURE_UNITS, type PressureUnit } from "../../vocabulary/pressure-units.ts";
import type { QuantityOf } from "../../vocabulary/quantity-text.ts";
import type { Stage } from "../../vocabulary/reading.ts";
import type { PlacedSection } from "../block.ts";
import type { CertificateInput, StageResult } from "../certificate-input.ts";
import { exactDecimal } from "../exact-decimal.ts";
import { printDate } from "../print-date.ts";
import { MINUS, NO_BREAK_SPACE, printNumber, printQuantity, printUnit } from "../print-number.ts";
import type { RoundedStage } from "../rounded-results.ts";
import type { Texts } from "../texts/en.ts";

export type Status = "specimen" | "draft" | "issued";

/** A stage as the certificate shows it: under which name, with which results. */
export interface ShownStage {
  readonly stage: Stage;
  readonly title: string;
  readonly result: StageResult;
  readonly rounded: RoundedStage;
}

export interface SectionContext {
  readonly input: CertificateInput;
  readonly texts: Texts;
  readonly print: Print;
  readonly status: Status;
  /** The number as printed; provisional and specimen numbers are prefixed. */
  readonly number: string;
  readonly shown: readonly ShownStage[];
  /** A screw was turned. */
  readonly adjusted: boolean;
}

/** One section of the certificate; null when it has nothing to say. */
export type SectionBuilder = (context: SectionContext) => PlacedSection | null;

/** Everything that turns a value into a printed text in one language. */
export interface Print {
  /** A plain decimal text. */
  readonly number: (plain: string) => string;
  readonly quantity: (plain: string, unit: string) => string;
  readonly date: (isoDay: string) => string;
  readonly unit: (symbol: string) => string;
  /** A value exact by agreement. */
  readonly exact: (value: number, unit: string, place?: number) => string;
  /** Two significant digits, for spreads and contributions. */
  readonly two: (value: number) => string;
  /** A pressure as its owner wrote it, with kPa beside it when that is another unit. */
  readonly pressure: (q: QuantityOf<"pressure">) => string;
  readonly plusMinus: (text: string) => string;
}

export const makePrint = (language: CertificateInput["language"]): Print => {
  const number = (plain: string) => printNumber(plain, language);
  const unit = printUnit;
  const quantity = (plain: string, symbol: string) => printQuantity(plain, unit(symbol), language);
  const exact = (value: number, symbol: string, place = 0) => quantity(exactDecimal(value, place), symbol);
  return {
    number,
    quantity,
    unit,
    exact,
    date: (day) => printDate(day, language),
    two: (value) => (value === 0 ? "0" : (value < 0 ? MINUS : "") + number(roundUncertainty(Math.abs(value)).text)),
    pressure: (q) => {
      const own = exact(q.written, q.unit);
      return q.unit === "kPa" ? own : `${own} (${quantity(roundToPlace(q.kPa, -3), "kPa")})`;
    },
    plusMinus: (text) => `±${text}`,
  };
};

/** Factor of a unit to kPa, as printed beside converted values. */
export const factorText = (print: Print, unit: PressureUnit): string =>
  print.quantity(roundToPlace(PRESSURE_UNITS[unit].pascal / 1e3, -6), "kPa");

/** "0.50 % of span", with the words of the language. */
export const percentOf = (print: Print, plain: string, words: string): string =>
  `${print.number(plain)}${NO_BREAK_SPACE}${words}`;

export const toleranceText = (context: SectionContext): string => {
  const { print, texts, input } = context;
  const tolerance = input.unit.tolerance;
  if (tolerance.kind === "pressure") return `±${print.pressure(tolerance)}`;
  const words = tolerance.kind === "percent-of-span" ? texts.ofSpan : texts.ofReading;
  return `±${percentOf(print, exactDecimal(tolerance.percent, -1), words)}`;
};

export const customerUnit = (input: CertificateInput): PressureUnit => input.unit.output.lower.unit;

export const body = (id: string, heading: string, blocks: PlacedSection["blocks"]): PlacedSection => ({
  id,
  heading,
  blocks,
  page: "body",
});

export const front = (id: string, heading: string | null, blocks: PlacedSection["blocks"]): PlacedSection => ({
  id,
  heading,
  blocks,
  page: "first",
});
