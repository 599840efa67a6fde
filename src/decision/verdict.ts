import type { Stage } from "../vocabulary/reading.ts";

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
  readonly U_kPa: number;
  /** |error| up to here is accepted. */
  readonly acceptance_kPa: number;
  readonly word: PointWord;
  /** Probability that this point is really outside its limit (accepted) or inside it (rejected), given its measured value. */
  readonly specific_risk: number;
}

export interface StageVerdict {
  readonly stage: Stage;
  readonly rule: DecisionRule;
  /** One sentence for the certificate: rule, guard band, convention on the limit, risk. */
  readonly rule_text: string;
  readonly points: readonly PointVerdict[];
  readonly word: PointWord;
  /** Points that keep it from passing, named. */
  readonly reasons: readonly string[];
  /** Test uncertainty ratio: tolerance over U, smallest over the points. */
  readonly tur: number | null;
}
