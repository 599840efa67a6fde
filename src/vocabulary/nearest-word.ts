/**
 * Edit distance with neighbouring letters swapped counted as one edit (optimal string alignment), capital and small
 * letters alike.
 */
export const editDistance = (left: string, right: string): number => {
  const a = left.toLowerCase();
  const b = right.toLowerCase();
  let beforeLast: readonly number[] = [];
  let last: readonly number[] = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const current: number[] = [row];
    for (let column = 1; column <= b.length; column += 1) {
      const same = a[row - 1] === b[column - 1];
      let cost = Math.min(
        (last[column] ?? 0) + 1,
        (current[column - 1] ?? 0) + 1,
        (last[column - 1] ?? 0) + (same ? 0 : 1),
      );
      if (row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]) {
        cost = Math.min(cost, (beforeLast[column - 2] ?? 0) + 1);
      }
      current.push(cost);
    }
    beforeLast = last;
    last = current;
  }
  return last[b.length] ?? 0;
};

/** The word the writer probably meant: the nearest one within about a third of its length; null when none is near. */
export const nearestWord = (written: string, known: readonly string[]): string | null => {
  let best: { readonly word: string; readonly distance: number } | null = null;
  for (const word of known) {
    const distance = editDistance(written, word);
    if (distance > Math.max(1, Math.ceil(Math.max(word.length, written.length) / 3))) continue;
    if (best === null || distance < best.distance) best = { word, distance };
  }
  return best?.word ?? null;
};
