import type { PointError } from "../../../analysis/analysis.ts";
import type { PointWord } from "../../../decision/verdict.ts";
import type { Direction, Stage } from "../../../vocabulary/reading.ts";
import type { RunView } from "./run-view.ts";

/** One point of a run as it is compared: mean over the cycles, in % of the output span of that run. */
interface ComparedSide {
  readonly error_percent_span: number;
  /** Largest over the cycles; null where it is not known. */
  readonly U_percent_span: number | null;
  readonly word: PointWord;
}

export interface ComparedPoint {
  readonly stage: Stage;
  readonly nominal_percent: number;
  readonly direction: Direction;
  readonly first: ComparedSide | null;
  readonly second: ComparedSide | null;
  /** Second less first, % of output span; null where one of them is missing. */
  readonly difference_percent_span: number | null;
  /** The difference is larger than both uncertainties together, as root of the sum of squares; null where one is not known. */
  readonly beyond_uncertainty: boolean | null;
}

export interface Comparison {
  /** Both are of one unit: maker, model and serial number. */
  readonly same_unit: boolean;
  /** % of span of different ranges are different quantities. */
  readonly same_range: boolean;
  readonly points: readonly ComparedPoint[];
}

const WORST: readonly PointWord[] = ["fail", "conditional-fail", "no-statement", "conditional-pass", "pass"];

const keyOf = (p: Pick<PointError, "nominal_percent" | "direction">): string => `${p.nominal_percent} ${p.direction}`;

const sidesOf = (view: RunView, stage: Stage): ReadonlyMap<string, ComparedSide> => {
  const result = view.stages.find((s) => s.stage === stage)?.result;
  const sides = new Map<string, ComparedSide>();
  if (result === undefined) return sides;
  const { points, span_kPa } = result.analysis;
  for (const key of new Set(points.map(keyOf))) {
    const same = points.filter((p) => keyOf(p) === key);
    const verdicts = result.verdict.points.filter((v) => same.some((p) => p.ordinal === v.ordinal));
    const U = verdicts.map((v) => v.U_kPa);
    sides.set(key, {
      error_percent_span: same.reduce((sum, p) => sum + p.error_percent_span, 0) / same.length,
      U_percent_span: U.some((u) => u === null) ? null : (100 * Math.max(...U.map((u) => u ?? 0))) / span_kPa,
      word: WORST.find((word) => verdicts.some((v) => v.word === word)) ?? "no-statement",
    });
  }
  return sides;
};

const compared = (first: ComparedSide | null, second: ComparedSide | null) => {
  if (first === null || second === null) return { difference_percent_span: null, beyond_uncertainty: null };
  const difference = second.error_percent_span - first.error_percent_span;
  const [U1, U2] = [first.U_percent_span, second.U_percent_span];
  return {
    difference_percent_span: difference,
    beyond_uncertainty: U1 === null || U2 === null ? null : Math.abs(difference) > Math.hypot(U1, U2),
  };
};

/** Two runs point by point, stage by stage: rising points first, each branch from its lowest point on. Pure. */
export const compareRuns = (first: RunView, second: RunView): Comparison => {
  const points = (["as-found", "as-left"] as const).flatMap((stage) => {
    const [one, two] = [sidesOf(first, stage), sidesOf(second, stage)];
    return [...new Set([...one.keys(), ...two.keys()])]
      .map((key) => {
        const [nominal = "", direction = ""] = key.split(" ");
        const sides = { first: one.get(key) ?? null, second: two.get(key) ?? null };
        return {
          stage,
          nominal_percent: Number(nominal),
          direction: direction as Direction,
          ...sides,
          ...compared(sides.first, sides.second),
        };
      })
      .toSorted((a, b) => b.direction.localeCompare(a.direction) || a.nominal_percent - b.nominal_percent);
  });
  const [a, b] = [first.unit.identity, second.unit.identity];
  return {
    same_unit: a.maker === b.maker && a.model === b.model && a.serial_number === b.serial_number,
    same_range: JSON.stringify(first.transfer) === JSON.stringify(second.transfer),
    points,
  };
};
