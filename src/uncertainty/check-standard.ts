import { studentTQuantile } from "./statistics/student-t.ts";

/** A calibration line y = intercept + slope x in use, and how well its fit was known. */
export interface LineInUse {
  readonly intercept: number;
  readonly slope: number;
  /** Standard deviation of the residuals of the fit, in y. */
  readonly sd: number;
  readonly degrees_of_freedom: number;
}

export interface CheckedReading {
  readonly group: string | null;
  readonly x: number;
  readonly y: number;
  /** What the line makes of y, less what is known of the check standard: (y - intercept) / slope - x. */
  readonly off: number;
  readonly outside: boolean;
}

export interface LineControl {
  readonly probability: number;
  /** Readings that are looked at together. */
  readonly together: number;
  readonly t_star: number;
  /** Limits of `off`, both ways, in x. */
  readonly limit: number;
  readonly readings: readonly CheckedReading[];
  /** Groups with a reading outside; all readings are one group where none is named. */
  readonly outside: readonly string[];
}

/**
 * Is a calibration line still what it was? Readings of check standards, held against limits that all of them together
 * stay inside with the stated probability. Source: NIST/SEMATECH e-Handbook, 2.3.7.1; t* of 1.3.6.7.5.
 */
export const lineControl = (
  line: LineInUse,
  readings: readonly { readonly x: number; readonly y: number; readonly group: string | null }[],
  probability: number,
): LineControl => {
  const sizes = new Map<string, number>();
  for (const { group } of readings) sizes.set(group ?? "", (sizes.get(group ?? "") ?? 0) + 1);
  const together = Math.max(...sizes.values());
  const t_star = -studentTQuantile((1 - probability ** (1 / together)) / 2, line.degrees_of_freedom);
  const limit = (line.sd * t_star) / Math.abs(line.slope);
  const checked = readings.map(({ x, y, group }): CheckedReading => {
    const off = (y - line.intercept) / line.slope - x;
    return { group, x, y, off, outside: Math.abs(off) > limit };
  });
  return {
    probability,
    together,
    t_star,
    limit,
    readings: checked,
    outside: [...new Set(checked.flatMap((r) => (r.outside ? [r.group ?? "all"] : [])))],
  };
};
