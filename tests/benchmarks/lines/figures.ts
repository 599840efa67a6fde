/** One line of the report: what was measured, the figure, and the goal where there is one. */
export interface Figure {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly goal?: { readonly at: "least" | "most"; readonly value: number };
}

export const isMet = ({ value, goal }: Figure): boolean =>
  goal === undefined || (goal.at === "least" ? value >= goal.value : value <= goal.value);

export const quantile = (values: readonly number[], share: number): number => {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
};

export const median = (values: readonly number[]): number => quantile(values, 0.5);

/** Seconds on a clock that never goes back; for the stamps of readings in a benchmark. */
export const now_s = (): number => performance.now() / 1e3;
