import { dewPointOfClass, instrumentAirDewPoint, oilOfClass } from "../../decision/instrument-classes.ts";
import { parseQuantityOf } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { type Row, row } from "./row.ts";

/** `2:4:2`: classes of particles, water and oil, as ISO 8573-1 writes them. A dash leaves one out. */
export const airClassRows = (text: string): Result<readonly Row[], string> => {
  const [, water = "", oil = ""] = /^\s*[\d-]:([1-6-]):([1-4-])\s*$/u.exec(text) ?? [];
  if (water === "") {
    return err(
      `"${text}" is no class of air known here; write particles:water:oil, such as 2:4:2 (water 1 to 6, oil 1 to 4).`,
    );
  }
  const dew_point = dewPointOfClass(Number(water));
  const mist = oilOfClass(Number(oil));
  return ok([
    ...(dew_point === null ? [] : [row("pressure dew point, at most", dew_point, "degC")]),
    ...(mist === null ? [] : [row("oil, all forms, at most", mist, "mg/m3")]),
    row("source", "ISO 8573-1:2010, class table; limits of particles are not given here"),
  ]);
};

/** Highest pressure dew point of instrument air for the lowest temperature that the system sees. */
export const instrumentAirRows = (coldest: string): Result<readonly Row[], string> => {
  const quantity = parseQuantityOf("temperature", coldest);
  if (!quantity.ok) return err(`${quantity.fault.message} ${quantity.fault.remedy}`);
  return ok([
    row("pressure dew point, at most", instrumentAirDewPoint(quantity.value.degC), "degC"),
    row(
      "source",
      "ANSI/ISA-7.0.01-1996 in public summaries: 10 degC below the lowest temperature of the system, not above 4 degC, at line pressure",
    ),
  ]);
};
