/** A drawing as data: in the units of its axes, with finished tick texts. Nothing in it depends on paper. */
export interface Axis {
  readonly label: string;
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly { readonly at: number; readonly text: string }[];
}

export interface ChartPoint {
  readonly x: number;
  readonly y: number;
  /** Half length of the bar that shows U, in the unit of the y axis. */
  readonly bar?: number;
}

/** Marker and line style tell the series apart without colour. */
export type Marker = "filled-up" | "open-down" | "open-diamond";
export type LineStyle = "solid" | "dashed" | "heavy" | "dotted" | "none";

export interface ChartSeries {
  readonly name: string;
  readonly marker: Marker;
  readonly points: readonly ChartPoint[];
  /** Drawn at one side of its true x, in points of paper, so that two bars at one input do not hide each other. */
  readonly nudge: number;
}

export interface ChartLine {
  readonly name: string | null;
  readonly style: LineStyle;
  readonly points: readonly (readonly [number, number])[];
  /** Follows the nudge of its series. */
  readonly nudge: number;
}

/** A hatched zone between two curves over the same x. */
export interface ChartBand {
  readonly name: string | null;
  readonly points: readonly { readonly x: number; readonly lower: number; readonly upper: number }[];
}

export interface ChartData {
  readonly id: string;
  readonly title: string;
  /** What the drawing shows, in words, for whoever cannot see it. */
  readonly alternative: string;
  readonly x: Axis;
  readonly y: Axis;
  /** The same scale in a second unit, on the right. */
  readonly yRight: Axis | null;
  readonly bands: readonly ChartBand[];
  readonly lines: readonly ChartLine[];
  readonly series: readonly ChartSeries[];
  /** Words for the U bars in the legend; null when no bar is drawn. */
  readonly barLegend: string | null;
  /** Height of the drawing on paper, points. */
  readonly height: number;
}
