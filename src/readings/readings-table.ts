import type { FileFault } from "../config/file-fault.ts";
import { isPressureUnit, type PressureUnit, pressureUnitNames, toKilopascal } from "../vocabulary/pressure-units.ts";
import type { PressureMode } from "../vocabulary/quantities.ts";
import type { Stage } from "../vocabulary/reading.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { TakenReading } from "./readings-set.ts";
import { type Cell, cellReader, complaint, type Place, type RowReader } from "./table.ts";

/** What the columns of a file are; the unit of a pressure stands in the name of its column. */
export interface Columns {
  readonly output: { readonly name: string; readonly unit: PressureUnit };
  readonly supply: { readonly name: string; readonly unit: PressureUnit } | null;
  readonly U: { readonly name: string; readonly unit: PressureUnit } | null;
  readonly staged: boolean;
}

const FIXED = ["ordinal", "cycle", "direction", "nominal_mA"] as const;
const OPTIONAL = ["stage", "applied_mA", "k"] as const;
const KNOWN = `${FIXED.join(", ")}, output_<unit>, and if wanted stage, applied_mA, supply_<unit>, U_<unit>, k`;

/** Words of the stages, in the order in which they happen. */
const STAGES: readonly Stage[] = ["as-found", "as-left"];

/** Columns that hold words. */
export const WORD_COLUMNS: readonly string[] = ["direction", "stage"];

const MODES: readonly PressureMode[] = ["gauge", "absolute", "differential"];

export const modeOf = (text: string, place: Place): Result<PressureMode, FileFault> => {
  const mode = MODES.find((m) => m === text);
  return mode === undefined
    ? err(complaint(place, `the mode "${text}" is not known.`, `Write one of ${MODES.join(", ")}.`))
    : ok(mode);
};

/** Names of the columns to their meaning; every complaint at once. `placeOf` says where a name stands. */
export const columnsOf = (
  names: readonly string[],
  placeOf: (index: number) => Place,
): Result<Columns, readonly FileFault[]> => {
  const faults: FileFault[] = [];
  const pressures: { readonly kind: string; readonly name: string; readonly unit: PressureUnit }[] = [];
  for (const [index, name] of names.entries()) {
    if (names.indexOf(name) !== index) {
      faults.push(
        complaint(placeOf(index), `the column "${name}" is there twice.`, "Leave one of them.", "contradiction"),
      );
      continue;
    }
    if ([...FIXED, ...OPTIONAL].some((known) => known === name)) continue;
    const match = /^(output|supply|U)_(.+)$/u.exec(name);
    const unit = match?.[2] ?? "";
    if (match === null) {
      faults.push(
        complaint(placeOf(index), `the column "${name}" is not known.`, `Columns are ${KNOWN}.`, "unknown-key"),
      );
    } else if (isPressureUnit(unit)) {
      pressures.push({ kind: match[1] ?? "", name, unit });
    } else {
      faults.push(
        complaint(
          placeOf(index),
          `"${unit}" in the column "${name}" is not a pressure unit here.`,
          `Write one of ${pressureUnitNames.join(", ")}; gauge or absolute goes into the line "# mode: gauge".`,
        ),
      );
    }
  }
  const whole = { ...placeOf(0), column: 1, path: "" };
  for (const name of FIXED) {
    if (!names.includes(name)) {
      faults.push(complaint(whole, `the column "${name}" is missing.`, `Columns are ${KNOWN}.`, "missing-key"));
    }
  }
  const outputs = pressures.filter((p) => p.kind === "output");
  const supplies = pressures.filter((p) => p.kind === "supply");
  const uncertainties = pressures.filter((p) => p.kind === "U");
  const [output] = outputs;
  const attempted = names.some((name) => name.startsWith("output_"));
  if (output === undefined && !attempted) {
    faults.push(complaint(whole, "there is no output column.", "Name it with its unit, such as output_psi."));
  }
  for (const many of [outputs, supplies, uncertainties]) {
    if (many.length > 1) {
      faults.push(
        complaint(whole, `${many.map((p) => p.name).join(" and ")} say the same twice.`, "Leave one of them."),
      );
    }
  }
  if (names.includes("k") && uncertainties.length === 0) {
    faults.push(
      complaint(
        placeOf(names.indexOf("k")),
        "there is a k, but no U.",
        "Add its column, such as U_psi.",
        "missing-key",
      ),
    );
  }
  return faults.length > 0 || output === undefined
    ? err(faults)
    : ok({ output, supply: supplies[0] ?? null, U: uncertainties[0] ?? null, staged: names.includes("stage") });
};

/** Rows to readings; every complaint at once. */
export const readingsOf = (
  rows: readonly RowReader[],
  columns: Columns,
  file: Place,
): Result<readonly TakenReading[], readonly FileFault[]> => {
  const faults: FileFault[] = [];
  const complain = (cell: Cell | undefined, message: string, remedy: string): void => {
    faults.push(complaint(cell?.place ?? file, message, remedy));
  };
  const { number, counting } = cellReader(faults, file);
  const seen = new Set<string>();
  const readings = rows.flatMap((row): readonly TakenReading[] => {
    const ordinal = counting(row, "ordinal");
    const cycle = counting(row, "cycle");
    const direction = row("direction");
    const way = direction?.value === "rising" || direction?.value === "falling" ? direction.value : null;
    if (way === null) {
      complain(
        direction,
        `direction is "${direction?.value ?? ""}".`,
        "Write rising or falling, as the output pressure went.",
      );
    }
    const written = columns.staged ? row("stage") : undefined;
    const stage = columns.staged ? STAGES.find((each) => each === written?.value) : "as-found";
    if (stage === undefined) {
      complain(written, `stage is "${written?.value ?? ""}".`, `Write one of ${STAGES.join(", ")}.`);
    }
    const place = `${stage} ${ordinal}`;
    if (ordinal !== null && seen.has(place)) {
      complain(
        row("ordinal"),
        `ordinal ${ordinal} is there twice${columns.staged ? ` ${stage}` : ""}.`,
        "Number the readings in the order they were taken.",
      );
    }
    if (ordinal !== null) seen.add(place);
    const nominal = number(row, "nominal_mA", "refused");
    const applied = number(row, "applied_mA", "missing");
    const output = number(row, columns.output.name, "missing");
    const supply = columns.supply === null ? null : number(row, columns.supply.name, "missing");
    const U = columns.U === null ? null : number(row, columns.U.name, "missing");
    if (U !== null && U <= 0) complain(row(columns.U?.name ?? ""), `U is ${U}.`, "An uncertainty is above 0.");
    const k = row("k") === undefined ? null : number(row, "k", "missing");
    if (k !== null && k <= 0) complain(row("k"), `k is ${k}.`, "A coverage factor is above 0; 2 is usual.");
    if (ordinal === null || cycle === null || way === null || nominal === null || stage === undefined) return [];
    return [
      {
        stage,
        ordinal,
        cycle,
        direction: way,
        nominal_mA: nominal,
        applied_mA: applied,
        output_kPa: output === null ? null : toKilopascal(output, columns.output.unit),
        supply_kPa: supply === null || columns.supply === null ? null : toKilopascal(supply, columns.supply.unit),
        U_kPa: U === null || columns.U === null ? null : toKilopascal(U, columns.U.unit),
        k,
      },
    ];
  });
  if (rows.length === 0) faults.push(complaint(file, "there are no readings.", "Write one row for each reading."));
  return faults.length > 0 ? err(faults) : ok(readings.toSorted((a, b) => a.ordinal - b.ordinal));
};
