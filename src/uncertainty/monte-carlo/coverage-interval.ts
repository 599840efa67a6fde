export type IntervalKind = "shortest" | "symmetric";
export type Interval = readonly [low: number, high: number];

/** Ranks of a coverage interval of probability p among M sorted values: q = pM to the nearest whole (JCGM 101:2008, 7.7). */
const span = (M: number, p: number): number => Math.min(M - 1, Math.floor(p * M + 0.5));

/** Interval of sorted values. */
export const intervalOfSorted = (sorted: Float64Array, p: number, kind: IntervalKind): Interval => {
  const M = sorted.length;
  return intervalOfTails(sorted.subarray(0, M - span(M, p)), sorted.subarray(span(M, p)), M, p, kind);
};

/** `lows` are the M - q smallest values in order, `highs` the M - q largest: no other value can be an end. */
const intervalOfTails = (
  lows: Float64Array,
  highs: Float64Array,
  M: number,
  p: number,
  kind: IntervalKind,
): Interval => {
  const count = M - span(M, p);
  if (kind === "symmetric") {
    const r = Math.max(0, Math.floor((count + 1) / 2) - 1);
    return [lows[r] as number, highs[r] as number];
  }
  let best = 0;
  for (let r = 1; r < count; r += 1) {
    if ((highs[r] as number) - (lows[r] as number) < (highs[best] as number) - (lows[best] as number)) best = r;
  }
  return [lows[best] as number, highs[best] as number];
};

/** The `count` smallest values of `values` (largest with `sign` -1), in rising order. */
const tail = (values: Float64Array, count: number, sign: 1 | -1): Float64Array => {
  // A pivot from an even sample, a little beyond the share that is wanted; doubled when it was too tight.
  const stride = Math.max(1, Math.floor(values.length / 4096));
  const sample = new Float64Array(Math.ceil(values.length / stride));
  for (let i = 0; i < sample.length; i += 1) sample[i] = sign * (values[i * stride] as number);
  sample.sort();
  let share = (1.1 * count) / values.length + 0.01;
  for (;;) {
    const rank = Math.ceil(share * sample.length);
    const pivot = rank >= sample.length ? Number.POSITIVE_INFINITY : (sample[rank] as number);
    const kept = below(values, sign, pivot);
    if (kept.length >= count) {
      kept.sort();
      const wanted = kept.subarray(0, count);
      return sign === 1 ? wanted : wanted.map((x) => -x).reverse();
    }
    share *= 2;
  }
};

const below = (values: Float64Array, sign: 1 | -1, pivot: number): Float64Array => {
  let n = 0;
  for (let i = 0; i < values.length; i += 1) if (sign * (values[i] as number) <= pivot) n += 1;
  const kept = new Float64Array(n);
  n = 0;
  for (let i = 0; i < values.length; i += 1) {
    const x = sign * (values[i] as number);
    if (x <= pivot) {
      kept[n] = x;
      n += 1;
    }
  }
  return kept;
};

/** Interval of unsorted values, exactly as if they had been sorted; only the two tails are. */
export const intervalOf = (values: Float64Array, p: number, kind: IntervalKind): Interval => {
  const M = values.length;
  if (M < 20_000) return intervalOfSorted(values.toSorted(), p, kind);
  const count = M - span(M, p);
  return intervalOfTails(tail(values, count, 1), tail(values, count, -1), M, p, kind);
};
