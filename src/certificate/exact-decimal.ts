import { roundToPlace } from "../uncertainty/rounding.ts";

/**
 * A value that is exact by agreement (a nominal point, a limit, a range end): with the digits it needs, at least down to
 * 10^place, at most four places finer.
 */
export const exactDecimal = (value: number, place: number): string => {
  for (let finer = place; finer > place - 4; finer -= 1) {
    const text = roundToPlace(value, finer);
    if (Math.abs(Number(text) - value) <= 1e-9 * Math.max(1, Math.abs(value))) return text;
  }
  return roundToPlace(value, place - 4);
};
