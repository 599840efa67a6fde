import { type ErrorCurves, sameLevel } from "./error-curves.ts";

/** Plain sentences about what the figures of a stage cannot say. */
export const remarksOn = (curves: ErrorCurves): readonly string[] => [
  ...clippedEnds(curves),
  ...flatEnds(curves),
  ...missingBranches(curves),
  ...tooFew(curves),
  ...inputSource(curves),
  ...rootFoot(curves),
];

const percentList = (percents: readonly number[]): string =>
  `${percents.map((p) => String(Number(p.toFixed(4)))).join(", ")} % of output span`;

const levelsOf = (curves: ErrorCurves, clipped: "at-zero" | "at-supply"): readonly number[] =>
  curves.nominal_percents.filter((percent) =>
    curves.points.some((p) => p.clipped === clipped && sameLevel(p.nominal_percent, percent)),
  );

const clippedEnds = (curves: ErrorCurves): readonly string[] => {
  const remarks: string[] = [];
  const low = levelsOf(curves, "at-zero");
  const high = levelsOf(curves, "at-supply");
  const told = curves.points.find((p) => p.by_lift_off !== undefined)?.by_lift_off;
  if (low.length > 0 && told !== undefined) {
    remarks.push(
      `At ${percentList(low)} the output stood at zero pressure: the error there, ${told.error_kPa.toFixed(3)} kPa, is told by lift-off. Zero error on the line, span error, slope and linearity are taken from the other points.`,
    );
  } else if (low.length > 0) {
    remarks.push(
      `At ${percentList(low)} the output stood at zero pressure and can fall no further: the error that the unit strives for is as read or more negative, and by how much is hidden. Zero error, span error, slope and linearity are taken from the other points.`,
    );
  }
  if (high.length > 0) {
    remarks.push(
      `At ${percentList(high)} the output stood at the supply pressure and can rise no further: the error that the unit strives for is as read or more positive, and by how much is hidden. Zero error, span error, slope and linearity are taken from the other points.`,
    );
  }
  if (low.length + high.length > 0) {
    remarks.push("Hysteresis and repeatability cannot be seen at a point that stands at a stop.");
  }
  return remarks;
};

/** An output that moves by less than this share of its ideal step has met a stop that nobody named. No source. */
const FLAT_SHARE = 0.2;

const flatEnds = (curves: ErrorCurves): readonly string[] => {
  const { levels } = curves;
  const flat = (a: (typeof levels)[number] | undefined, b: (typeof levels)[number] | undefined): readonly string[] => {
    if (a === undefined || b === undefined || levels.length < 3) return [];
    const step = b.nominal_percent - a.nominal_percent;
    if (step < 1) return [];
    const moved = step + b.mean_percent_span - a.mean_percent_span;
    if (moved >= FLAT_SHARE * step) return [];
    return [
      `Between ${a.nominal_percent} and ${b.nominal_percent} % of output span the output hardly moved: it may stand at a stop that was not measured, and the error at the end would then be hidden.`,
    ];
  };
  return [...flat(levels[0], levels[1]), ...flat(levels.at(-2), levels.at(-1))];
};

const missingBranches = (curves: ErrorCurves): readonly string[] => {
  const { points, cells, cycles, nominal_percents } = curves;
  const directions = new Set(points.map((p) => p.direction));
  if (directions.size === 1) {
    return [
      `There are ${points[0]?.direction ?? ""} readings only: hysteresis and dead band are not in the figures, and the averages are of this direction alone.`,
    ];
  }
  // At the two ends a cycle turns, so one reading may serve both directions.
  return nominal_percents.slice(1, -1).flatMap((percent) =>
    (["rising", "falling"] as const).flatMap((direction) => {
      const there = cells.filter((c) => c.nominal_percent === percent && c.direction === direction).length;
      return there === cycles.length
        ? []
        : [
            `At ${percentList([percent])} ${there} of ${cycles.length} ${direction} readings are there; averages and spreads at this point stand on what there is.`,
          ];
    }),
  );
};

const tooFew = (curves: ErrorCurves): readonly string[] => {
  const remarks: string[] = [];
  if (curves.levels.length < 3) {
    remarks.push(
      `Only ${curves.levels.length} point(s) can be used for a line; linearity needs at least 3 and is not stated.`,
    );
  }
  if (curves.cycles.length < 2) remarks.push("One cycle only: repeatability cannot be stated.");
  return remarks;
};

const inputSource = (curves: ErrorCurves): readonly string[] => {
  const commanded = curves.points.filter((p) => p.applied_from === "commanded").length;
  if (commanded === 0) return [];
  return commanded === curves.points.length
    ? ["The input current was taken from the source as commanded; no meter read it."]
    : [`At ${commanded} of ${curves.points.length} readings the input current was taken from the source as commanded.`];
};

const rootFoot = (curves: ErrorCurves): readonly string[] =>
  curves.transfer.characteristic === "square-root" &&
  curves.nominal_percents.some((p) => p < 1 || (curves.transfer.action === "reverse" && p > 99))
    ? [
        "At the foot of a square-root characteristic the slope is without bound, so a small error of the input current is a large error of the output there.",
      ]
    : [];
