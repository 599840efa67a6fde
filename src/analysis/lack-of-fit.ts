import type { LeastSquaresFit } from "./least-squares.ts";
import { standardDeviation } from "./statistics.ts";

/** What a fit leaves over, split in what repeats cannot explain and what they show as pure scatter. */
export interface LackOfFit {
  readonly df_lack_of_fit: number;
  readonly ss_lack_of_fit: number;
  readonly df_pure_error: number;
  readonly ss_pure_error: number;
  /** Mean square of the lack of fit over that of the scatter. */
  readonly F: number;
}

/**
 * Lack-of-fit test from values that were repeated at the same x: the only way to judge linearity by statistics, as R
 * squared near 1 says nothing of it. null without repeats, or with as many terms as different x. Source: NIST/SEMATECH
 * e-Handbook, 4.6.1.5.
 */
export const lackOfFit = (
  rows: readonly (readonly number[])[],
  y: readonly number[],
  fit: LeastSquaresFit,
): LackOfFit | null => {
  const places = new Map<string, number[]>();
  for (const [i, row] of rows.entries()) {
    const place = row.join(" ");
    const value = y[i] ?? Number.NaN;
    const here = places.get(place);
    if (here === undefined) places.set(place, [value]);
    else here.push(value);
  }
  const df_pure_error = rows.length - places.size;
  const df_lack_of_fit = fit.degrees_of_freedom - df_pure_error;
  if (df_pure_error < 1 || df_lack_of_fit < 1) return null;
  let ss_pure_error = 0;
  for (const values of places.values()) ss_pure_error += (standardDeviation(values) ?? 0) ** 2 * (values.length - 1);
  if (ss_pure_error === 0) return null;
  const ss_lack_of_fit = Math.max(0, fit.ss_residual - ss_pure_error);
  return {
    df_lack_of_fit,
    ss_lack_of_fit,
    df_pure_error,
    ss_pure_error,
    F: ss_lack_of_fit / df_lack_of_fit / (ss_pure_error / df_pure_error),
  };
};
