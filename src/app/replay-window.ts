import type { Moment } from "../run/settling/replay.ts";
import type { ShownWait } from "./replay.ts";

/** What a plot of one wait shows: which times, which values, and how near the near view goes. */
export interface PlotWindow {
  readonly from_s: number;
  readonly to_s: number;
  readonly whole: Span;
  /** Around where the output comes to rest. */
  readonly near: Span;
  readonly moments: readonly Moment[];
}

export interface Span {
  readonly low: number;
  readonly high: number;
}

export const isAveraged = ({ replayed }: ShownWait, moment: Moment): boolean => {
  const { final, start } = replayed;
  if (final?.kind !== "settled" || moment.verdict === null) return false;
  const time_s = start.at_s + moment.t_s;
  return time_s >= final.from_s - 1e-9 && time_s <= final.to_s + 1e-9;
};

const values = (moments: readonly Moment[]): readonly number[] =>
  moments.flatMap((m) => (m.value === null || !Number.isFinite(m.value) ? [] : [m.value]));

/** Middle quantiles, so that single odd readings do not stretch the view. */
const middle = (of: readonly number[], share: number): Span => {
  const sorted = of.toSorted((a, b) => a - b);
  const at = (p: number): number => sorted[Math.round(p * (sorted.length - 1))] ?? 0;
  return { low: at(share), high: at(1 - share) };
};

const widened = ({ low, high }: Span, least: number): Span => {
  const half = Math.max((1.15 * (high - low)) / 2, least / 2);
  const centre = (low + high) / 2;
  return { low: centre - half, high: centre + half };
};

/**
 * From the first sample to somewhat past the rule's last word: what came after it shows whether it was right. `limit` is the
 * accuracy asked for, % of span.
 */
export const plotWindow = (shown: ShownWait, limit: number): PlotWindow => {
  const { moments: all, decided_s, final } = shown.replayed;
  const end = all.at(-1)?.t_s ?? 1;
  const from_s = Math.min(0, all[0]?.t_s ?? 0);
  const to_s = Math.max(1, decided_s === null ? end : Math.min(end, Math.max(1.6 * decided_s, decided_s + 5)));
  const moments = all.filter((m) => m.t_s <= to_s);
  const late = moments.filter((m) => m.t_s >= (decided_s ?? to_s) - 0.3 * ((decided_s ?? to_s) - from_s));
  const about =
    final?.kind === "settled"
      ? { low: final.value - 3 * limit, high: final.value + 3 * limit }
      : widened(middle(values(late), 0.03), 6 * limit);
  return { from_s, to_s, whole: widened(middle(values(moments), 0.005), 1), near: about, moments };
};

/** Round numbers for the ticks of an axis: about `count` of them. */
export const ticks = ({ low, high }: Span, count: number): readonly number[] => {
  const rough = (high - low) / Math.max(1, count);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough - 1e-12) ?? rough;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => Number(((first + i) * step).toPrecision(12)));
};

/** Digits behind the point that tell one tick from the next. */
export const tickDigits = (at: readonly number[]): number => {
  const step = Math.abs((at[1] ?? 1) - (at[0] ?? 0));
  return step > 0 ? Math.max(0, Math.min(6, -Math.floor(Math.log10(step) + 1e-9))) : 0;
};
