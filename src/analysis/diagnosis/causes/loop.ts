import type { CauseEntry, Sign } from "../cause.ts";
import type { Evidence } from "../evidence.ts";
import { fixed } from "./sign-text.ts";

/** Other output ranges that a unit may have been built for, kPa: IEC 60382, and 3 to 15 psi. */
const RANGES = [
  { name: "20 to 100 kPa", lower: 20, upper: 100 },
  { name: "3 to 15 psi", lower: 20.684, upper: 103.421 },
  { name: "6 to 30 psi", lower: 41.369, upper: 206.843 },
] as const;

const wrongRangeSign = ({ curve, tolerance_percent }: Evidence): Sign | null => {
  if (curve === null) return null;
  const span = curve.upper_kPa - curve.lower_kPa;
  const near = RANGES.filter(
    (r) => Math.abs(r.lower - curve.lower_kPa) > 0.1 || Math.abs(r.upper - curve.upper_kPa) > 0.1,
  )
    .map((r) => ({
      name: r.name,
      zero: (100 * (r.lower - curve.lower_kPa)) / span,
      span: (100 * (r.upper - r.lower - span)) / span,
    }))
    .find(
      (r) =>
        Math.abs(curve.zero_percent - r.zero) < 0.8 * tolerance_percent &&
        Math.abs(curve.span_percent - r.span) < 1.2 * tolerance_percent,
    );
  return near === undefined
    ? null
    : {
        strength: 3,
        figures: `zero ${fixed(curve.zero_percent)} % and span ${fixed(curve.span_percent)} % are those of a ${near.name} unit`,
      };
};

export const reversed: CauseEntry = {
  cause: "reversed",
  words:
    "the action is reversed: the output falls where it should rise. Check direct or reverse action of the unit and its file",
  sign: ({ curve }) =>
    curve !== null && curve.slope < 0
      ? { strength: 100, figures: `slope ${curve.slope.toFixed(2)} of the ideal` }
      : null,
  explains: ["zero-off", "span-off", "bent-curve", "friction", "supply-low", "wrong-range", "supply-sensitive"],
};

export const loopCurrent: CauseEntry = {
  cause: "loop-current",
  words: "the current that flows is not the one commanded: look at the loop, its wiring and the source before the unit",
  sign: ({ current_off_mA }) =>
    current_off_mA === null
      ? null
      : {
          strength: Math.abs(current_off_mA) / 0.05,
          figures: `${fixed(current_off_mA, 3)} mA between commanded and measured`,
        },
  explains: ["zero-off", "span-off", "wrong-range"],
};

export const wrongRange: CauseEntry = {
  cause: "wrong-range",
  words: "zero and span fit another standard range: the unit, or its file, is for that range",
  sign: wrongRangeSign,
  explains: ["zero-off", "span-off"],
};
