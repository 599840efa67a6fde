import { gaugeClass, gaugeClassNames } from "../../decision/instrument-classes.ts";
import { leastPointsForClass } from "../../plan/point-sets.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { type Row, row } from "./row.ts";
import { writtenRange } from "./written.ts";

/** What the class of a gauge allows, over a range where one is given. `1.6` and `EN 837-1 1.6` are the same. */
export const classRows = (name: string, range: string | undefined): Result<readonly Row[], string> => {
  const word = name.trim().split(/\s+/u).at(-1) ?? "";
  const found = gaugeClass(word);
  if (found === null) {
    return err(
      `"${name}" is no class of EN 837-1 and no grade of ASME B40.100 known here; they are ${gaugeClassNames.join(", ")}.`,
    );
  }
  const over = range === undefined ? null : writtenRange(range);
  if (over !== null && !over.ok) return over;
  const span = over === null ? null : over.value.upper - over.value.lower;
  const both = (what: string, percent: number): readonly Row[] => [
    row(what, percent, "% of span"),
    ...(span === null || over === null ? [] : [row(what, (percent * span) / 100, over.value.unit)]),
  ];
  const [lower, middle, upper] = found.percent;
  const points = leastPointsForClass(Number(found.name));
  return ok([
    ...(lower === middle && middle === upper
      ? both("greatest error", lower)
      : [
          ...both("greatest error, lower quarter", lower),
          ...both("greatest error, middle half", middle),
          ...both("greatest error, upper quarter", upper),
        ]),
    ...(found.in_service_percent === null ? [] : both("greatest error in service", found.in_service_percent)),
    ...(found.hysteresis_percent === null ? [] : both("greatest hysteresis", found.hysteresis_percent)),
    ...(points.ok ? [row("least number of points", points.value)] : []),
    row("source", found.source),
  ]);
};
