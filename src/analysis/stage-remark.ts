import type { Direction } from "../vocabulary/reading.ts";

/** What the figures of a stage cannot say, as a code with its figures, so that each language finds its own words. */
export type StageRemark =
  | { readonly code: "at-zero"; readonly percents: readonly number[]; readonly lift_off_kPa: number | null }
  | { readonly code: "at-supply"; readonly percents: readonly number[] }
  | { readonly code: "hidden-at-stop" }
  | { readonly code: "flat-end"; readonly from_percent: number; readonly to_percent: number }
  | { readonly code: "one-direction"; readonly direction: Direction }
  | {
      readonly code: "readings-missing";
      readonly percent: number;
      readonly there: number;
      readonly of: number;
      readonly direction: Direction;
    }
  | { readonly code: "too-few-for-line"; readonly points: number }
  | { readonly code: "one-cycle" }
  | { readonly code: "as-commanded"; readonly readings: number; readonly of: number }
  | { readonly code: "root-foot" };

const percentList = (percents: readonly number[]): string =>
  `${percents.map((p) => String(Number(p.toFixed(4)))).join(", ")} % of output span`;

const ELSEWHERE = "Zero error, span error, slope and linearity are taken from the other points.";

/** In English. */
export const stageRemarkText = (remark: StageRemark): string => {
  switch (remark.code) {
    case "at-zero":
      return remark.lift_off_kPa === null
        ? `At ${percentList(remark.percents)} the output stood at zero pressure and can fall no further: the error that the unit strives for is as read or more negative, and by how much is hidden. ${ELSEWHERE}`
        : `At ${percentList(remark.percents)} the output stood at zero pressure: the error there, ${remark.lift_off_kPa.toFixed(3)} kPa, is told by lift-off. Zero error on the line, span error, slope and linearity are taken from the other points.`;
    case "at-supply":
      return `At ${percentList(remark.percents)} the output stood at the supply pressure and can rise no further: the error that the unit strives for is as read or more positive, and by how much is hidden. ${ELSEWHERE}`;
    case "hidden-at-stop":
      return "Hysteresis and repeatability cannot be seen at a point that stands at a stop.";
    case "flat-end":
      return `Between ${remark.from_percent} and ${remark.to_percent} % of output span the output hardly moved: it may stand at a stop that was not measured, and the error at the end would then be hidden.`;
    case "one-direction":
      return `There are ${remark.direction} readings only: hysteresis and dead band are not in the figures, and the averages are of this direction alone.`;
    case "readings-missing":
      return `At ${percentList([remark.percent])} ${remark.there} of ${remark.of} ${remark.direction} readings are there; averages and spreads at this point stand on what there is.`;
    case "too-few-for-line":
      return `Only ${remark.points === 1 ? "1 point" : `${remark.points} points`} can be used for a line; linearity needs at least 3 and is not stated.`;
    case "one-cycle":
      return "One cycle only: repeatability cannot be stated.";
    case "as-commanded":
      return remark.readings === remark.of
        ? "The input current was taken from the source as commanded; no meter read it."
        : `At ${remark.readings} of ${remark.of} readings the input current was taken from the source as commanded.`;
    case "root-foot":
      return "At the foot of a square-root characteristic the slope is without bound, so a small error of the input current is a large error of the output there.";
  }
};
