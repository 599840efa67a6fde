/** Look of the page: sober, legible as a grey copy. Lengths in points (1/72 inch). */
export type PaperSize = "A4" | "Letter";

export const PAPER: Readonly<Record<PaperSize, { readonly width: number; readonly height: number }>> = {
  A4: { width: 595.28, height: 841.89 },
  Letter: { width: 612, height: 792 },
};

export const MARGIN = { left: 54, right: 48, top: 58, bottom: 48 } as const;

export const INK = "#1B1D1F";
const SECOND_INK = "#4A4E52";
export const LINE = "#6B7075";
export const HAIR = "#B6B9BC";
/** Grid behind a drawing. */
export const GRID = "#C6C9CB";
/** The mark across the page: plain to see, and light enough for the text above it (text on it keeps more than 10:1). */
export const MARK = "#DCDEE0";
export const PAPER_WHITE = "#FFFFFF";

export type FontName = "regular" | "bold" | "italic" | "heading";
export const FONT_NAMES: readonly FontName[] = ["regular", "bold", "italic", "heading"];

export interface TextStyle {
  readonly font: FontName;
  readonly size: number;
  readonly colour: string;
  /** Distance from line to line. */
  readonly leading: number;
}

const style = (font: FontName, size: number, colour = INK, leading = size * 1.34): TextStyle => ({
  font,
  size,
  colour,
  leading,
});

export const TEXT = {
  normal: style("regular", 8.4, INK, 11),
  strong: style("bold", 8.4, INK, 11),
  small: style("regular", 7.4, INK, 9.7),
  label: style("regular", 7.2, SECOND_INK, 10.6),
  furniture: style("regular", 7.4, SECOND_INK),
  furnitureStrong: style("bold", 7.4),
  laboratory: style("bold", 11),
  title: style("heading", 22, INK, 26),
  subtitle: style("regular", 10, SECOND_INK),
  number: style("bold", 12.5),
  heading: style("heading", 12.5, INK, 16),
  groupHeading: style("bold", 8.6),
  caption: style("italic", 7.8, INK, 10.4),
  tableHead: style("bold", 7.4, INK, 9.4),
  tableUnit: style("regular", 7.2, SECOND_INK, 9.2),
  cell: style("regular", 7.8, INK, 10.2),
  cellStrong: style("bold", 7.8, INK, 10.2),
  cellSmall: style("regular", 7.2, INK, 9.2),
  note: style("regular", 7.2, SECOND_INK, 9.6),
  verdictStage: style("regular", 8.6, SECOND_INK),
  verdictWord: style("bold", 17, INK, 21),
  chartTitle: style("bold", 8.2),
  chartText: style("regular", 7, SECOND_INK, 9),
} as const;
