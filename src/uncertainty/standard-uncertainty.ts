import type { Contribution } from "./point-uncertainty.ts";

/** Standard uncertainty from what is known of an input. Source: JCGM 100:2008, 4.2 to 4.4, F.2.2. */

/** Half-width, all values alike likely. */
export const ofRectangle = (half_width: number): number => half_width / Math.sqrt(3);

/** Half-width, the centre likeliest. */
export const ofTriangle = (half_width: number): number => half_width / Math.sqrt(6);

/** Half-width, with a flat top `beta` times as wide as the base. */
export const ofTrapezoid = (half_width: number, beta: number): number => half_width * Math.sqrt((1 + beta * beta) / 6);

/** Amplitude of a cycle (arcsine distribution). */
export const ofCycle = (amplitude: number): number => amplitude / Math.sqrt(2);

/** Full width, such as a display digit or the distance between rising and falling readings. */
export const ofSpan = (width: number): number => ofRectangle(Math.abs(width) / 2);

/** U of a certificate with its coverage factor. */
export const ofExpanded = (U: number, k: number): number => U / k;

/** Degrees of freedom of a type B uncertainty that is itself doubtful by this share (JCGM 100:2008, G.4.2). */
export const degreesOfFreedomOfDoubt = (share: number): number => 1 / (2 * share * share);

/** A contribution with its effect worked out; nothing when its uncertainty is zero. */
export const contribution = (
  parts: Omit<Contribution, "u_kPa" | "degrees_of_freedom"> & { readonly degrees_of_freedom?: number },
): Contribution | null =>
  parts.u_input === 0
    ? null
    : { degrees_of_freedom: Number.POSITIVE_INFINITY, ...parts, u_kPa: Math.abs(parts.sensitivity) * parts.u_input };
