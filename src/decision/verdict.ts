import type { Stage } from "../vocabulary/reading.ts";
import type { VerdictReason } from "./verdict-reason.ts";

/** Decision rules of ILAC-G8:09/2019 and JCGM 106:2012, agreed before the first reading. */
export type DecisionRule =
  | { readonly rule: "simple" }
  | { readonly rule: "guarded"; readonly share_of_U: number }
  | { readonly rule: "four-words"; readonly share_of_U: number }
  | { readonly rule: "target-risk"; readonly risk: number };

export type PointWord = "pass" | "conditional-pass" | "conditional-fail" | "fail" | "no-statement";

export interface PointVerdict {
  readonly ordinal: number;
  readonly error_kPa: number;
  readonly limit_kPa: number;
  /** null when the uncertainty of this point is not known; then there is no statement. */
  readonly U_kPa: number | null;
  /** |error| up to here, and just here, is accepted; null when U leaves no such zone or is not known. */
  readonly acceptance_kPa: number | null;
  readonly word: PointWord;
  /**
   * Probability that this point is really outside its limit (accepted, or no statement) or inside it (rejected), given
   * its measured error and its uncertainty and nothing else (JCGM 106:2012, clause 7). null when U is not known.
   */
  readonly specific_risk: number | null;
}

export interface StageVerdict {
  readonly stage: Stage;
  readonly rule: DecisionRule;
  /** One sentence or two for the certificate: rule, guard band, convention on the limit, risk. */
  readonly rule_text: string;
  readonly points: readonly PointVerdict[];
  /** The worst of the points: fail, conditional fail, no statement, conditional pass, pass, in this order. */
  readonly word: PointWord;
  /** Points that keep it from passing, named. */
  readonly reasons: readonly string[];
  /** The same without the gaps, for other languages; absent in a verdict that was put together by hand. */
  readonly keyed_reasons?: readonly VerdictReason[];
  /** Test uncertainty ratio: tolerance over U, smallest over the points; null when a U is not known. */
  readonly tur: number | null;
}
