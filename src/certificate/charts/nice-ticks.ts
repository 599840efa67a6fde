import { roundToPlace } from "../../uncertainty/rounding.ts";

export interface Ticks {
  readonly min: number;
  readonly max: number;
  /** Positions as plain decimal texts, all with the same number of decimals. */
  readonly texts: readonly string[];
}

/** Round steps of 1, 2 or 5 times a power of ten that cover [low, high] with about `wanted` intervals. */
export const niceTicks = (low: number, high: number, wanted: number): Ticks => {
  const width = high > low ? high - low : Math.abs(low) || 1;
  const raw = width / Math.max(1, wanted);
  const place = Math.floor(Math.log10(raw));
  const lead = raw / 10 ** place;
  const [step, stepPlace] =
    lead <= 1 ? [1, place] : lead <= 2 ? [2, place] : lead <= 5 ? [5, place] : ([1, place + 1] as const);
  const unit = step * 10 ** stepPlace;
  const first = Math.floor(low / unit + 1e-9);
  const last = Math.ceil(high / unit - 1e-9);
  const texts: string[] = [];
  for (let i = first; i <= last; i += 1) texts.push(roundToPlace(i * unit, Math.min(0, stepPlace)));
  return { min: first * unit, max: last * unit, texts };
};
