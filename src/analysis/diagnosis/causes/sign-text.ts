/** A figure with its sign. */
export const fixed = (value: number, digits = 2): string => `${value < 0 ? "" : "+"}${value.toFixed(digits)}`;

/** The item with the greatest figure. */
export const worst = <T>(items: readonly T[], of: (item: T) => number): T | undefined =>
  items.toSorted((a, b) => of(b) - of(a))[0];
