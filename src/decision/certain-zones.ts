import { normalQuantile } from "../uncertainty/statistics/normal.ts";
import { studentTQuantile } from "../uncertainty/statistics/student-t.ts";
import type { ValueToDecide } from "./decide-value.ts";

/**
 * Measured values from which the true one is inside, or outside, with at least the stated probability, each limit by
 * itself. A limit that is not there leaves its ends infinite; `inside` is null where the two leave nothing between them.
 */
export interface CertainZones {
  readonly probability: number;
  readonly z: number;
  readonly inside: { readonly from: number; readonly up_to: number } | null;
  readonly outside: { readonly below: number; readonly above: number };
}

/**
 * JCGM 106:2012, 8.2 and 8.3: the acceptance limit for a wanted conformance probability, and that of guarded rejection.
 * With a U that goes with the value, v + z r v reaches the limit T at v = T/(1 + z r), and v - z r v at T/(1 - z r).
 */
export const certainZones = (
  { limits, U, k, degrees_of_freedom, U_share }: ValueToDecide & { readonly U_share?: number },
  probability: number,
): CertainZones => {
  const z =
    degrees_of_freedom === Number.POSITIVE_INFINITY
      ? normalQuantile(probability)
      : studentTQuantile(probability, degrees_of_freedom);
  /** Value whose distance of z standard uncertainties, in the direction of `sign`, ends on the limit. */
  const ending = (limit: number, sign: 1 | -1): number =>
    U_share === undefined ? limit - (sign * z * U) / k : limit / (1 + (sign * z * U_share) / k);
  const [from, up_to] = [ending(limits.lower, -1), ending(limits.upper, 1)];
  return {
    probability,
    z,
    inside: from <= up_to ? { from, up_to } : null,
    outside: { below: ending(limits.lower, 1), above: ending(limits.upper, -1) },
  };
};
