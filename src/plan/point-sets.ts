import { err, ok, type Result } from "../vocabulary/result.ts";

/**
 * `count` points evenly spaced over the output span, in percent of it, ends included.
 * Five of them are the usual check of a linear instrument: 0, 25, 50, 75, 100 (Kuphaldt, Lessons in Industrial
 * Instrumentation, CC BY, instrument calibration).
 */
export const evenPoints = (count: number): readonly number[] =>
  Array.from({ length: count }, (_, i) => Math.round((1e6 * 100 * i) / (count - 1)) / 1e6);

/**
 * The same points with the outermost moved inside by `inside` percent of span, for units whose ends cannot be passed
 * and so cannot be approached from both sides. With 10 the five points become 10, 25, 50, 75, 90 (same book).
 */
export const insideEnds = (points: readonly number[], inside: number): readonly number[] =>
  points.map((p) => Math.min(100 - inside, Math.max(inside, p)));

/** Classes of EN 837-1:1996, Table 11: the greatest error allowed, percent of span. */
const GAUGE_CLASSES = [0.1, 0.25, 0.6, 1, 1.6, 2.5, 4] as const;

/**
 * Least number of points for a gauge class: ten for 0.1 to 0.6, five for 1 to 4.
 * Source: EN 837-1/-3 as a gauge maker's test instruction gives it.
 */
export const leastPointsForClass = (gaugeClass: number): Result<number, string> =>
  GAUGE_CLASSES.some((c) => c === gaugeClass)
    ? ok(gaugeClass <= 0.6 ? 10 : 5)
    : err(`class ${gaugeClass} is none of EN 837-1; its classes are ${GAUGE_CLASSES.join(", ")}`);
