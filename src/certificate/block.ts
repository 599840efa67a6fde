import type { ChartData } from "./charts/chart-data.ts";

/**
 * What a section is made of: text, tables and charts as data. Every number in a block is a finished text; whoever draws
 * it rounds nothing. One set of blocks serves the PDF and any other readable form.
 */
export interface Fact {
  readonly label: string;
  readonly value: string;
  /** Said by the customer and not found out by the laboratory; printed with a mark. */
  readonly statedByCustomer?: boolean;
}

export interface FactGroup {
  readonly heading: string;
  readonly facts: readonly Fact[];
}

/** How a verdict looks. Each differs in word, shape and place, so that a grey copy still tells them apart. */
export type VerdictShape = "pass" | "conditional-pass" | "conditional-fail" | "fail" | "no-statement";

export interface VerdictPanel {
  readonly stage: string;
  readonly word: string;
  readonly shape: VerdictShape;
  readonly lines: readonly string[];
}

export interface Column {
  readonly title: string;
  /** Unit as printed, or the title of the column that holds it row by row. null only for words and counts. */
  readonly unit: string | { readonly inColumn: string } | null;
  /** `decimal`: aligned at the decimal mark. */
  readonly align: "left" | "centre" | "decimal";
  /** Long words that explain: printed smaller. */
  readonly small?: boolean;
  /** Share of the width relative to the other columns. */
  readonly weight: number;
}

export interface Row {
  readonly cells: readonly string[];
  /** A row that a reader must not miss: printed bold. */
  readonly strong?: boolean;
}

export interface Signature {
  readonly role: string;
  readonly name: string;
  readonly detail: string;
}

export type Block =
  | { readonly kind: "paragraph"; readonly text: string; readonly tone?: "normal" | "small" | "strong" }
  | { readonly kind: "list"; readonly items: readonly string[] }
  | { readonly kind: "caution"; readonly heading: string; readonly items: readonly string[] }
  | { readonly kind: "facts"; readonly groups: readonly FactGroup[] }
  | { readonly kind: "verdicts"; readonly panels: readonly VerdictPanel[] }
  | {
      readonly kind: "table";
      readonly caption: string;
      readonly columns: readonly Column[];
      readonly rows: readonly Row[];
      readonly notes?: readonly string[];
    }
  | { readonly kind: "chart"; readonly chart: ChartData }
  | { readonly kind: "signatures"; readonly people: readonly Signature[] };

/** One part of the certificate. A section on the first page carries no number. */
export interface Section {
  readonly id: string;
  readonly heading: string | null;
  readonly blocks: readonly Block[];
}

/** A section that belongs behind the first page; numbered in print. */
export interface PlacedSection extends Section {
  readonly page: "first" | "body";
}
