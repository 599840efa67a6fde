import { type Fault, fault } from "../vocabulary/fault.ts";
import { fromKilopascal, type PressureUnit } from "../vocabulary/pressure-units.ts";
import { kPa, mA, type PressureMode } from "../vocabulary/quantities.ts";
import type { Direction, Stage } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, type Transfer } from "../vocabulary/signal-range.ts";
import type { StagePoint } from "./stage-point.ts";

/** Format of readings that were taken elsewhere, as CSV or as JSON. */
export const READINGS_FORMAT = "stillpoint-readings 1";

/** One row of a readings file, in internal units. */
export interface TakenReading {
  /** Before or after the unit was touched; as found where the file does not say. */
  readonly stage: Stage;
  readonly ordinal: number;
  readonly cycle: number;
  readonly direction: Direction;
  readonly nominal_mA: number;
  /** null: nobody measured it; the nominal current then counts as commanded. */
  readonly applied_mA: number | null;
  /** null: the point is missing. It is kept as missing and never guessed. */
  readonly output_kPa: number | null;
  readonly supply_kPa: number | null;
  /** Expanded uncertainty of the error at this reading, and its coverage factor; null when nobody stated it. */
  readonly U_kPa: number | null;
  readonly k: number | null;
}

export interface ReadingsSet {
  readonly format: typeof READINGS_FORMAT;
  /** Name of the file, for messages. */
  readonly name: string;
  /** The unit in which the output was written down. */
  readonly output_unit: PressureUnit;
  readonly mode: PressureMode;
  /** Other lines of the file's head, as they were. */
  readonly notes: Readonly<Record<string, string>>;
  /** Whether the file says of each reading to which stage it belongs. */
  readonly staged: boolean;
  readonly readings: readonly TakenReading[];
}

/** Readings of a file as the analysis wants them, beside the points that have no output. */
export interface ReadPoints {
  readonly points: readonly StagePoint[];
  readonly missing: readonly TakenReading[];
}

/** The file says currents; which percent of the output they are is said by the unit under test. */
export const stagePointsOfSet = (set: ReadingsSet, transfer: Transfer): Result<ReadPoints, Fault> => {
  if (set.mode !== transfer.output.mode) {
    return err(
      fault(
        "refused",
        "bad-file",
        `${set.name} holds ${set.mode} pressures, the unit's range is ${transfer.output.mode}.`,
        {
          means: "The two cannot be compared.",
          remedy: "Correct the mode in the file or in the unit file.",
        },
      ),
    );
  }
  const points: StagePoint[] = [];
  const missing: TakenReading[] = [];
  for (const r of set.readings) {
    if (r.output_kPa === null) {
      missing.push(r);
      continue;
    }
    points.push({
      ordinal: r.ordinal,
      cycle: r.cycle,
      direction: r.direction,
      nominal_percent: percentOf(transfer.output, idealOutput(transfer, mA(r.nominal_mA))),
      nominal_mA: r.nominal_mA,
      applied_mA: r.applied_mA ?? r.nominal_mA,
      applied_from: r.applied_mA === null ? "commanded" : "measured",
      output_kPa: r.output_kPa,
      supply_kPa: r.supply_kPa,
    });
  }
  return ok({ points, missing });
};

/** Points as a readings file (CSV). Decimal point and comma as separator whatever the country; every digit is kept. */
export const readingsCsv = (points: readonly StagePoint[], unit: PressureUnit, mode: PressureMode): string => {
  const pressure = (value_kPa: number | null): string =>
    value_kPa === null ? "" : String(fromKilopascal(kPa(value_kPa), unit));
  const rows = points.map((p) =>
    [
      p.ordinal,
      p.cycle,
      p.direction,
      p.nominal_mA,
      p.applied_from === "measured" ? p.applied_mA : "",
      pressure(p.output_kPa),
      pressure(p.supply_kPa),
    ].join(","),
  );
  return [
    `# ${READINGS_FORMAT}`,
    `# mode: ${mode}`,
    `ordinal,cycle,direction,nominal_mA,applied_mA,output_${unit},supply_${unit}`,
    ...rows,
    "",
  ].join("\n");
};
