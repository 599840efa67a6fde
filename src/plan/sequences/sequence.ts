import { err, ok, type Result } from "../../vocabulary/result.ts";
import { evenPoints, insideEnds, leastPointsForClass } from "../point-sets.ts";
import type { ApproachChoice, SettlingChoice } from "../test-plan.ts";

/** What a person may choose about a sequence. Each sequence has its own defaults and refuses what it cannot honour. */
export interface SequenceOptions {
  /** Number of evenly spaced points, or the points themselves in % of output span, rising. */
  readonly points?: number | readonly number[];
  readonly cycles?: number;
  /** Strokes over the whole range before the first point. */
  readonly exercise_strokes?: number;
  /** Hold at the upper end of a stroke. */
  readonly hold_s?: number;
  /** Keep the outermost points this far inside the ends, % of span, where the ends cannot be passed. */
  readonly inside_ends_percent?: number;
  /** Take at least the points EN 837-1 wants for this gauge class. */
  readonly like_gauge_class?: number;
  /** Of `one-direction`: which one. */
  readonly direction?: "rising" | "falling";
  /** Of `repeat-at-point`. */
  readonly repeat_at_percent?: number;
  readonly repeats?: number;
  /** The detector when left out, stricter where rising and falling readings are compared. */
  readonly settling?: SettlingChoice;
  /** Least wait at each point, s. */
  readonly least_dwell_s?: number;
  readonly approach?: Partial<ApproachChoice>;
}

/** How long a stroke stands at its end, s; from `least_hold_s` on it may end when the settling rule has learned enough. */
export interface Hold {
  readonly hold_s: number;
  readonly least_hold_s?: number;
}

/** A step before ordinals and currents are put to it. Percent of output span. */
export type Draft =
  | ({ readonly kind: "exercise"; readonly to: number } & Hold)
  | { readonly kind: "point"; readonly at: number; readonly direction: "rising" | "falling"; readonly cycle: number };

export interface SequenceDraft {
  readonly title: string;
  readonly follows: readonly string[];
  readonly drafts: readonly Draft[];
  readonly exercise_each_stage: boolean;
  /** Longer than the chosen settling rule asks for. */
  readonly minimum_dwell_s?: number;
}

export interface Sequence {
  readonly name: string;
  /** One line for a list. */
  readonly summary: string;
  draft(options: SequenceOptions): Result<SequenceDraft, string>;
}

/** `count` strokes from 0 to 100 % and back, with a hold at the top and a short one at the bottom. */
export const strokes = (count: number, top: Hold, bottom_hold_s = 5): readonly Draft[] =>
  Array.from({ length: count }).flatMap((): readonly Draft[] => [
    { kind: "exercise", to: 100, ...top },
    { kind: "exercise", to: 0, hold_s: bottom_hold_s },
  ]);

/**
 * Hold at the top of a stroke. The settling detector learns the unit there, for which the settling study asks 90 s and
 * finds 45 s enough where the output stands level; the other rules learn nothing, and 10 s are enough to move the unit.
 */
export const topHold = (options: SequenceOptions): Hold => {
  if (options.hold_s !== undefined) return { hold_s: options.hold_s };
  const learns = options.settling === undefined || options.settling.rule === "detector";
  return learns ? { hold_s: 90, least_hold_s: 45 } : { hold_s: 10 };
};

export const rising = (points: readonly number[], cycle: number): readonly Draft[] =>
  points.map((at) => ({ kind: "point", at, direction: "rising", cycle }));

export const falling = (points: readonly number[], cycle: number): readonly Draft[] =>
  points.toReversed().map((at) => ({ kind: "point", at, direction: "falling", cycle }));

/** Up and down once. The top is read once unless it lies inside the end and can be approached from above as well. */
export const upDown = (points: readonly number[], cycle: number, passEnds: boolean): readonly Draft[] =>
  passEnds
    ? [
        ...rising(points, cycle),
        { kind: "exercise", to: 100, hold_s: 3 },
        ...falling(points, cycle),
        { kind: "exercise", to: 0, hold_s: 3 },
      ]
    : [...rising(points, cycle), ...falling(points.slice(0, -1), cycle)];

const wholeNumber = (value: number, least: number, most: number): boolean =>
  Number.isInteger(value) && value >= least && value <= most;

/** The chosen points, checked: rising, within 0 to 100 %, enough of them. */
export const chosenPoints = (options: SequenceOptions, fallback: number): Result<readonly number[], string> => {
  let least = 2;
  if (options.like_gauge_class !== undefined) {
    const asked = leastPointsForClass(options.like_gauge_class);
    if (!asked.ok) return asked;
    least = asked.value;
  }
  const given = options.points ?? Math.max(fallback, least);
  if (typeof given === "number" && !wholeNumber(given, 2, 101))
    return err(`${given} points cannot be laid out; choose a whole number from 2 to 101`);
  const points = typeof given === "number" ? evenPoints(given) : given;
  if (points.length < least) {
    return err(
      options.like_gauge_class === undefined
        ? `${points.length} point is too few; choose at least ${least}`
        : `${points.length} points are too few for class ${options.like_gauge_class}; EN 837-1 wants at least ${least}`,
    );
  }
  if (points.some((p, i) => !Number.isFinite(p) || (i > 0 && p <= (points[i - 1] ?? p))))
    return err(`the points ${points.join(", ")} % are not rising; list each once, from low to high`);
  const inside = options.inside_ends_percent ?? 0;
  if (!(inside >= 0 && inside < 25)) return err(`${inside} % inside the ends is not possible; choose 0 to 25 %`);
  const moved = insideEnds(points, inside);
  return moved.some((p, i) => i > 0 && p <= (moved[i - 1] ?? p))
    ? err(`${inside} % inside the ends runs two points together; choose less`)
    : ok(moved);
};

export const chosenCount = (
  name: string,
  value: number | undefined,
  fallback: number,
  least: number,
  most: number,
): Result<number, string> => {
  const chosen = value ?? fallback;
  return wholeNumber(chosen, least, most)
    ? ok(chosen)
    : err(`${chosen} ${name} is not possible; choose a whole number from ${least} to ${most}`);
};

/** Sentence on points kept inside the ends, when they are. */
export const insideSentence = (options: SequenceOptions): readonly string[] =>
  options.inside_ends_percent === undefined || options.inside_ends_percent === 0
    ? []
    : [
        `Deviates: the outermost points lie ${options.inside_ends_percent} % of span inside the ends, because the ends cannot be passed and so not be approached from both sides.`,
      ];

export const classSentence = (options: SequenceOptions): readonly string[] =>
  options.like_gauge_class === undefined
    ? []
    : [`At least the number of points EN 837-1 wants for class ${options.like_gauge_class}.`];
