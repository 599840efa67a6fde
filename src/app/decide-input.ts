import type { Fault } from "../vocabulary/fault.ts";
import { parseNumber, splitNumber } from "../vocabulary/number-text.ts";
import { fromKilopascal, isPressureUnit, toKilopascal } from "../vocabulary/pressure-units.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { type NamedValue, type Prior, refused } from "./decide-values.ts";

/** Numbers to decide about, as a person writes them on the line of a command. */

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
  readonly standardLimit?: string;
}

/** `2 %value`: a share of the value itself. */
const SHARE_OF_VALUE = /^\s*([\d.,eE+-]+)\s*%\s*(?:of\s+)?value\s*$/u;

/** An uncertainty as a share of the value, to the same in its unit. */
const ofValue = (
  text: string | undefined,
  error: string | undefined,
): Result<{ text?: string; share?: number }, Fault> => {
  const [, number] = text === undefined ? [] : (SHARE_OF_VALUE.exec(text) ?? []);
  if (text === undefined || number === undefined) return ok(text === undefined ? {} : { text });
  const percent = parseNumber(number);
  const value = written(error ?? "", "error");
  if (!percent.ok || !value.ok || !(percent.value > 0) || value.value.value === 0) {
    return refused(
      `"${text}" is no share of the value.`,
      "Write it above 0, such as 2 %value, with a value that is not 0.",
    );
  }
  const share = percent.value / 100;
  return ok({ text: `${share * Math.abs(value.value.value)} ${value.value.unit}`, share });
};

interface WrittenValue {
  readonly value: NamedValue;
  readonly unit: string;
  readonly prior: Prior | null;
  readonly standard_limit?: number;
}

/** Numbers of one line, brought to one unit: that of the error. Pressures are converted, other units must be alike. */
export const writtenValue = (texts: ValueTexts): Result<WrittenValue, Fault> => {
  const [relativeU, relativeStandard] = [ofValue(texts.U, texts.error), ofValue(texts.u, texts.error)];
  if (!relativeU.ok) return relativeU;
  if (!relativeStandard.ok) return relativeStandard;
  const options = {
    error: texts.error,
    limit: texts.limit,
    lower: texts.lower,
    upper: texts.upper,
    U: relativeU.value.text,
    u: relativeStandard.value.text,
    "prior-sd": texts.priorSd,
    "prior-mean": texts.priorMean,
    "standard-limit": texts.standardLimit,
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
  const standard_limit = numbers.get("standard-limit");
  if (standard_limit !== undefined && !(standard_limit > 0))
    return refused(`The limit of the standard is above 0, not ${standard_limit}.`, "Correct --standard-limit.");
  const share = relativeU.value.share ?? (relativeStandard.value.share ?? 0) * k;
  return ok({
    ...(standard_limit === undefined ? {} : { standard_limit }),
    value: {
      ...(share > 0 ? { U_share: share } : {}),
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
