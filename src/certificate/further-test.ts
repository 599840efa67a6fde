/** A test that explains the unit, attached for information: no result and no part of the verdict. */
export interface FurtherTest {
  /** Name of the test; a name of its own in each language where the texts have one. */
  readonly test: string;
  readonly title: string;
  readonly run_id: string;
  /** Day of the test in the laboratory's time zone, YYYY-MM-DD. */
  readonly day: string;
  /** Why it was not finished; null when it was. */
  readonly incomplete: string | null;
  /** Findings in sentences with their figures, in the words of the evaluation. */
  readonly findings: readonly string[];
  readonly drawings: readonly FurtherDrawing[];
}

/** A drawing of such a test, in the units of its axes. Readings are dots, what was fitted or joined is a line. */
export interface FurtherDrawing {
  readonly title: string;
  readonly x: string;
  readonly y: string;
  readonly series: readonly {
    readonly name: string;
    readonly kind: "dots" | "line";
    readonly points: readonly (readonly [x: number, y: number])[];
  }[];
}

/** Opinions on what the tests point to, each with its figures (ISO/IEC 17025:2017, 7.8.7). */
export interface Opinions {
  readonly items: readonly { readonly words: string; readonly figures: string }[];
  /** What nothing can be said of, because it was not tested. */
  readonly not_looked_at: readonly string[];
}
