/** Rising whole numbers with runs drawn together: 1, 2, 3, 7 as "1–3", "7". A pair stays a pair. */
export const ordinalRanges = (ordinals: readonly number[]): readonly string[] => {
  const runs: [number, number][] = [];
  for (const n of ordinals) {
    const run = runs.at(-1);
    if (run !== undefined && n === run[1] + 1) run[1] = n;
    else runs.push([n, n]);
  }
  return runs.flatMap(([first, last]) => {
    if (last - first >= 2) return [`${first}–${last}`];
    return first === last ? [String(first)] : [String(first), String(last)];
  });
};
