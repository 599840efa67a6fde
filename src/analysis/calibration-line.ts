/** A line value = a + b x with the uncertainty of its two numbers and what the line leaves over. */
export interface CalibrationLine {
  readonly a: number;
  readonly u_a: number;
  readonly b: number;
  readonly u_b: number;
  /** Correlation of a and b, -1 to 1. */
  readonly correlation: number;
  /** Half-width of the resolution of x, rectangular. */
  readonly resolution_half_width: number;
  /** Half-width of the deviation from the line, in units of the value, rectangular. */
  readonly linearity_half_width: number;
}

/**
 * Value on the line at x with its standard uncertainty:
 * u^2 = u_a^2 + x^2 u_b^2 + 2 r x u_a u_b + (b w_x / sqrt 3)^2 + (w_lin / sqrt 3)^2.
 * Source: Kessel, Kacker and Sommer, Measurement 45 (2012) 1661.
 */
export const valueOnLine = (line: CalibrationLine, x: number): { readonly value: number; readonly u: number } => ({
  value: line.a + line.b * x,
  u: Math.sqrt(
    line.u_a ** 2 +
      x ** 2 * line.u_b ** 2 +
      2 * line.correlation * x * line.u_a * line.u_b +
      (line.b * line.resolution_half_width) ** 2 / 3 +
      line.linearity_half_width ** 2 / 3,
  ),
});
