import { type FileFault, faultOfFiles } from "../config/file-fault.ts";
import { readCsvTable } from "../readings/csv-table.ts";
import { cellReader, complaint, wholeFile } from "../readings/table.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { parseNumber, splitNumber } from "../vocabulary/number-text.ts";
import { fromKilopascal, isPressureUnit, toKilopascal } from "../vocabulary/pressure-units.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { type NamedValue, type Prior, refused } from "./decide-values.ts";
import type { NamedText } from "./job-files.ts";

/** Numbers to decide about, as a person writes them: on the line of a command, or many in a file. */

interface Written {
  readonly value: number;
  readonly unit: string;
}

const written = (text: string, option: string): Result<Written, Fault> => {
  const split = splitNumber(text.trim());
  const value = split === null ? null : parseNumber(split.number);
  if (split === null || value === null || !value.ok) {
    const why = value?.ok === false ? value.fault.message : `"${text}" is not a number.`;
    return refused(`--${option}: ${why}`, "Write a number, with a unit if you like, such as 0.04 psi.");
  }
  return ok({ value: value.value, unit: split.rest });
};

export interface ValueTexts {
  readonly error?: string;
  readonly limit?: string;
  readonly lower?: string;
  readonly upper?: string;
  readonly U?: string;
  readonly u?: string;
  readonly k?: number;
  readonly degrees_of_freedom?: number;
  readonly priorSd?: string;
  readonly priorMean?: string;
}

/** Numbers of one line, brought to one unit: that of the error. Pressures are converted, other units must be alike. */
export const writtenValue = (
  texts: ValueTexts,
): Result<{ readonly value: NamedValue; readonly unit: string; readonly prior: Prior | null }, Fault> => {
  const options = {
    error: texts.error,
    limit: texts.limit,
    lower: texts.lower,
    upper: texts.upper,
    U: texts.U,
    u: texts.u,
    "prior-sd": texts.priorSd,
    "prior-mean": texts.priorMean,
  };
  const numbers = new Map<string, number>();
  let unit: string | null = null;
  for (const [option, text] of Object.entries(options)) {
    if (text === undefined) continue;
    const one = written(text, option);
    if (!one.ok) return one;
    unit ??= one.value.unit;
    if (one.value.unit === unit) numbers.set(option, one.value.value);
    else if (isPressureUnit(unit) && isPressureUnit(one.value.unit)) {
      numbers.set(option, fromKilopascal(toKilopascal(one.value.value, one.value.unit), unit));
    } else {
      const other = one.value.unit === "" ? "no unit" : one.value.unit;
      return refused(
        `--${option} has ${other}, --error has ${unit === "" ? "none" : unit}.`,
        "Write all of them in one unit.",
      );
    }
  }
  const error = numbers.get("error");
  if (error === undefined)
    return refused("There is no value to decide about.", 'Give it as --error "0.04 psi", or give a file.');
  const limits = limitsOf(numbers);
  if (!limits.ok) return limits;
  const U = numbers.get("U");
  const u = numbers.get("u");
  if ((U === undefined) === (u === undefined)) {
    return refused(
      "The uncertainty is needed once.",
      'Give --U "0.01 psi" with its --k, or the standard uncertainty as --u.',
    );
  }
  const k = texts.k ?? 2;
  const expanded = U ?? (u ?? 0) * k;
  if (!(expanded > 0))
    return refused(`An uncertainty is above 0, not ${U ?? u}.`, "Give the one that belongs to the value.");
  const sd = numbers.get("prior-sd");
  const mean = numbers.get("prior-mean");
  if (sd !== undefined && !(sd > 0))
    return refused(`The spread of the items is above 0, not ${sd}.`, "Correct --prior-sd.");
  if (sd === undefined && mean !== undefined)
    return refused("There is a --prior-mean without --prior-sd.", "Give both.");
  return ok({
    value: {
      name: "value",
      value: error,
      U: expanded,
      k,
      degrees_of_freedom: texts.degrees_of_freedom ?? Number.POSITIVE_INFINITY,
      limits: limits.value,
    },
    unit: unit ?? "",
    prior: sd === undefined ? null : { sd, ...(mean === undefined ? {} : { mean }) },
  });
};

const limitsOf = (numbers: ReadonlyMap<string, number>): Result<NamedValue["limits"], Fault> => {
  const limit = numbers.get("limit");
  const lower = numbers.get("lower");
  const upper = numbers.get("upper");
  if (limit !== undefined && (lower !== undefined || upper !== undefined)) {
    return refused(
      "The limits are given twice.",
      "Give --limit for both ways, or --lower and --upper, or one of these.",
    );
  }
  if (limit !== undefined) {
    return limit > 0
      ? ok({ lower: -limit, upper: limit })
      : refused(`The limit is ${limit}; it has to be above 0.`, "Write it without a sign.");
  }
  if (lower === undefined && upper === undefined) {
    return refused(
      "There is no limit.",
      'Give --limit "0.06 psi" (both ways), or --lower and --upper, or one of these.',
    );
  }
  const limits = { lower: lower ?? Number.NEGATIVE_INFINITY, upper: upper ?? Number.POSITIVE_INFINITY };
  return limits.lower < limits.upper
    ? ok(limits)
    : refused(`The limits ${lower} and ${upper} leave nothing between them.`, "Give the lower one first.");
};

const DECISIONS_FORMAT = "stillpoint-decisions 1";

/** Many values in one CSV: `error`, `limit` (or `lower`, `upper`), `U`, and if wanted `k`, `dof`, `name`. One unit. */
export const valuesOfFile = ({ name: file, text }: NamedText): Result<readonly NamedValue[], Fault> => {
  const table = readCsvTable(text, file, {
    format: DECISIONS_FORMAT,
    head: "optional",
    words: ["name"],
    example: "name,error,limit,U,k",
  });
  if (!table.ok) return err(faultOfFiles(table.fault));
  const { names, placeOf } = table.value;
  const whole = wholeFile(file);
  const KNOWN = ["name", "error", "limit", "lower", "upper", "U", "k", "dof"];
  const faults: FileFault[] = names.flatMap((column, i) =>
    KNOWN.includes(column)
      ? []
      : [
          complaint(
            placeOf(i),
            `the column "${column}" is not known.`,
            `Columns are ${KNOWN.join(", ")}.`,
            "unknown-key",
          ),
        ],
  );
  const has = (column: string): boolean => names.includes(column);
  for (const needed of ["error", "U"]) {
    if (!has(needed))
      faults.push(
        complaint(whole, `the column "${needed}" is missing.`, `Columns are ${KNOWN.join(", ")}.`, "missing-key"),
      );
  }
  if (has("limit") === (has("lower") || has("upper"))) {
    faults.push(
      complaint(
        whole,
        "limits are needed in one way.",
        "Give a column limit (both ways), or lower, upper or both.",
        "missing-key",
      ),
    );
  }
  if (faults.length > 0) return err(faultOfFiles(faults));
  const rows = table.value.rows();
  if (!rows.ok) return err(faultOfFiles(rows.fault));
  const { number } = cellReader(faults, whole);
  const values = rows.value.flatMap((row, i): readonly NamedValue[] => {
    const read = (column: string, empty: "refused" | "missing" = "missing"): number | null =>
      has(column) ? number(row, column, empty) : null;
    const error = read("error", "refused");
    const U = read("U", "refused");
    const limit = read("limit", "refused");
    const [lower, upper, k, dof] = [read("lower"), read("upper"), read("k"), read("dof")];
    const limits =
      limit === null
        ? { lower: lower ?? Number.NEGATIVE_INFINITY, upper: upper ?? Number.POSITIVE_INFINITY }
        : { lower: -limit, upper: limit };
    const place = row("error")?.place ?? whole;
    if (!(limits.lower < limits.upper) || (limit === null && lower === null && upper === null)) {
      faults.push(
        complaint(
          place,
          "the limits of this row leave no room or are not there.",
          "Give a limit above 0, or lower below upper.",
        ),
      );
    }
    for (const [column, value] of [
      ["U", U],
      ["k", k],
      ["dof", dof],
    ] as const) {
      if (value !== null && value <= 0)
        faults.push(complaint(row(column)?.place ?? whole, `${column} is ${value}.`, "It is above 0."));
    }
    if (error === null || U === null) return [];
    const name = row("name")?.value;
    return [
      {
        name: name === undefined || name === null ? String(i + 1) : String(name),
        value: error,
        U,
        k: k ?? 2,
        degrees_of_freedom: dof ?? Number.POSITIVE_INFINITY,
        limits,
      },
    ];
  });
  if (rows.value.length === 0) faults.push(complaint(whole, "there are no values.", "Write one row for each value."));
  return faults.length > 0 ? err(faultOfFiles(faults)) : ok(values);
};
