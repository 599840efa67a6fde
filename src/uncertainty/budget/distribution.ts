import { degreesOfFreedomOfDoubt, ofCycle, ofRectangle, ofTrapezoid, ofTriangle } from "../standard-uncertainty.ts";

/** What is known of an input, as it is drawn by Monte Carlo (JCGM 101:2008, 6.4). */
export type Distribution =
  | { readonly shape: "constant" }
  | { readonly shape: "normal"; readonly u: number }
  /** Scaled and shifted t: `u` is the scale, so its standard deviation is u sqrt(dof/(dof-2)) (6.4.9). */
  | { readonly shape: "t"; readonly u: number; readonly degrees_of_freedom: number }
  | { readonly shape: "rectangular"; readonly half_width: number }
  | { readonly shape: "triangular"; readonly half_width: number }
  | { readonly shape: "trapezoid"; readonly half_width: number; readonly beta: number }
  /** A rectangle whose half-width is itself known only to +-doubt (6.4.3). */
  | { readonly shape: "curved-trapezoid"; readonly half_width: number; readonly doubt: number }
  | { readonly shape: "arcsine"; readonly half_width: number };

/** Standard uncertainty for the propagation of uncertainties (JCGM 100). */
export const standardUncertaintyOf = (d: Distribution): number => {
  switch (d.shape) {
    case "constant":
      return 0;
    case "normal":
    case "t":
      return d.u;
    case "rectangular":
      return ofRectangle(d.half_width);
    case "triangular":
      return ofTriangle(d.half_width);
    case "trapezoid":
      return ofTrapezoid(d.half_width, d.beta);
    case "curved-trapezoid":
      // JCGM 101:2008, 6.4.3.4: (b - a)^2/12 + d^2/9.
      return Math.sqrt(ofRectangle(d.half_width) ** 2 + d.doubt ** 2 / 9);
    case "arcsine":
      return ofCycle(d.half_width);
  }
};

/** Degrees of freedom that follow from the distribution itself. */
export const degreesOfFreedomOf = (d: Distribution): number => {
  if (d.shape === "t") return d.degrees_of_freedom;
  if (d.shape === "curved-trapezoid") return degreesOfFreedomOfDoubt(d.doubt / d.half_width);
  return Number.POSITIVE_INFINITY;
};
