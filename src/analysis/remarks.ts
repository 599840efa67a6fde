import { type ErrorCurves, sameLevel } from "./error-curves.ts";
import type { StageRemark } from "./stage-remark.ts";

/** What the figures of a stage cannot say. */
export const remarksOn = (curves: ErrorCurves): readonly StageRemark[] => [
  ...clippedEnds(curves),
  ...flatEnds(curves),
  ...missingBranches(curves),
  ...tooFew(curves),
  ...inputSource(curves),
  ...rootFoot(curves),
];

const levelsOf = (curves: ErrorCurves, clipped: "at-zero" | "at-supply"): readonly number[] =>
  curves.nominal_percents.filter((percent) =>
    curves.points.some((p) => p.clipped === clipped && sameLevel(p.nominal_percent, percent)),
  );

const clippedEnds = (curves: ErrorCurves): readonly StageRemark[] => {
  const low = levelsOf(curves, "at-zero");
  const high = levelsOf(curves, "at-supply");
  const told = curves.points.find((p) => p.by_lift_off !== undefined)?.by_lift_off;
  return [
    ...(low.length === 0 ? [] : [{ code: "at-zero", percents: low, lift_off_kPa: told?.error_kPa ?? null } as const]),
    ...(high.length === 0 ? [] : [{ code: "at-supply", percents: high } as const]),
    ...(low.length + high.length === 0 ? [] : [{ code: "hidden-at-stop" } as const]),
  ];
};

/** An output that moves by less than this share of its ideal step has met a stop that nobody named. No source. */
const FLAT_SHARE = 0.2;

const flatEnds = (curves: ErrorCurves): readonly StageRemark[] => {
  const { levels } = curves;
  type Level = (typeof levels)[number] | undefined;
  const flat = (a: Level, b: Level): readonly StageRemark[] => {
    if (a === undefined || b === undefined || levels.length < 3) return [];
    const step = b.nominal_percent - a.nominal_percent;
    if (step < 1) return [];
    const moved = step + b.mean_percent_span - a.mean_percent_span;
    if (moved >= FLAT_SHARE * step) return [];
    return [{ code: "flat-end", from_percent: a.nominal_percent, to_percent: b.nominal_percent }];
  };
  return [...flat(levels[0], levels[1]), ...flat(levels.at(-2), levels.at(-1))];
};

const missingBranches = (curves: ErrorCurves): readonly StageRemark[] => {
  const { points, cells, cycles, nominal_percents } = curves;
  const [only, another] = new Set(points.map((p) => p.direction));
  if (only !== undefined && another === undefined) return [{ code: "one-direction", direction: only }];
  // At the two ends a cycle turns, so one reading may serve both directions.
  return nominal_percents.slice(1, -1).flatMap((percent) =>
    (["rising", "falling"] as const).flatMap((direction): readonly StageRemark[] => {
      const there = cells.filter((c) => c.nominal_percent === percent && c.direction === direction).length;
      return there === cycles.length
        ? []
        : [{ code: "readings-missing", percent, there, of: cycles.length, direction }];
    }),
  );
};

const tooFew = (curves: ErrorCurves): readonly StageRemark[] => [
  ...(curves.levels.length < 3 ? [{ code: "too-few-for-line", points: curves.levels.length } as const] : []),
  ...(curves.cycles.length < 2 ? [{ code: "one-cycle" } as const] : []),
];

const inputSource = (curves: ErrorCurves): readonly StageRemark[] => {
  const readings = curves.points.filter((p) => p.applied_from === "commanded").length;
  return readings === 0 ? [] : [{ code: "as-commanded", readings, of: curves.points.length }];
};

const rootFoot = (curves: ErrorCurves): readonly StageRemark[] =>
  curves.transfer.characteristic === "square-root" &&
  curves.nominal_percents.some((p) => p < 1 || (curves.transfer.action === "reverse" && p > 99))
    ? [{ code: "root-foot" }]
    : [];
