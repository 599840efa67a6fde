import { mean, standardDeviation } from "../../analysis/statistics.ts";
import type { FileFault } from "../../config/file-fault.ts";
import { type Blame, readFileText } from "../../config/read-file.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { choleskyFactor } from "../monte-carlo/cholesky.ts";
import { degreesOfFreedomOfDoubt } from "../standard-uncertainty.ts";
import { normalBetween } from "../statistics/normal.ts";
import { type BudgetFile, type BudgetFileInput, budgetFileSchema } from "./budget-file.schema.ts";
import { namesIn } from "./derivative.ts";
import { type Distribution, degreesOfFreedomOf, standardUncertaintyOf } from "./distribution.ts";
import { type Expression, parseExpression, RESERVED_NAMES } from "./expression.ts";

/** One input, ready for both methods. */
export interface ModelInput {
  readonly name: string;
  readonly unit: string;
  readonly about: string;
  readonly value: number;
  readonly u: number;
  readonly degrees_of_freedom: number;
  readonly distribution: Distribution;
  /** The readings themselves, where it is their mean. */
  readonly readings?: readonly number[];
}

export interface ModelOutput {
  readonly name: string;
  readonly unit: string;
  readonly text: string;
  readonly expression: Expression;
}

/** A measurement model that can be evaluated. `correlation` is a full matrix in the order of `inputs`. */
export interface BudgetModel {
  readonly title: string;
  readonly inputs: readonly ModelInput[];
  readonly outputs: readonly ModelOutput[];
  readonly correlation: readonly (readonly number[])[];
  readonly correlated: boolean;
  readonly coverage: number;
  /** k where it is agreed and not worked out. */
  readonly coverage_factor?: number;
  readonly interval: "shortest" | "symmetric";
  readonly degrees_of_freedom: "as-is" | "truncated";
  readonly digits: 1 | 2;
}

/** Distribution of an input as the file states it; readings become their mean with n - 1 degrees of freedom. */
const distributionOf = (input: BudgetFileInput): Distribution => {
  switch (input.distribution) {
    case "constant":
      return { shape: "constant" };
    case "normal":
      return { shape: "normal", u: input.u ?? (input.U ?? Number.NaN) / (input.k ?? Number.NaN) };
    case "t":
      return { shape: "t", u: input.u, degrees_of_freedom: input.degrees_of_freedom };
    case "readings": {
      const n = input.readings.length;
      const u = (standardDeviation(input.readings) ?? 0) / Math.sqrt(n);
      return u === 0 ? { shape: "constant" } : { shape: "t", u, degrees_of_freedom: n - 1 };
    }
    case "rectangular":
    case "triangular":
    case "arcsine":
      return { shape: input.distribution, half_width: input.half_width };
    case "trapezoid":
      return { shape: "trapezoid", half_width: input.half_width, beta: input.beta };
    case "curved-trapezoid":
      return { shape: "curved-trapezoid", half_width: input.half_width, doubt: input.doubt };
  }
};

const inputOf = ([name, input]: [string, BudgetFileInput]): ModelInput => {
  const distribution = distributionOf(input);
  const doubt = "doubt_of_u" in input ? input.doubt_of_u : undefined;
  const stated = "degrees_of_freedom" in input ? input.degrees_of_freedom : undefined;
  return {
    name,
    unit: input.unit,
    about: input.about ?? "",
    value: input.distribution === "readings" ? mean(input.readings) : input.value,
    u: standardUncertaintyOf(distribution),
    degrees_of_freedom:
      stated ?? (doubt === undefined ? degreesOfFreedomOf(distribution) : degreesOfFreedomOfDoubt(doubt)),
    distribution,
    ...(input.distribution === "readings" ? { readings: input.readings } : {}),
  };
};

/** Correlation of two series that were read at the same times (JCGM 100:2008, 5.2.3). */
export const correlationOfReadings = (a: readonly number[], b: readonly number[]): number => {
  const [ma, mb] = [mean(a), mean(b)];
  const deviations = a.map((x, i) => [x - ma, (b[i] ?? mb) - mb] as const);
  const sum = (of: (d: readonly [number, number]) => number): number => deviations.reduce((s, d) => s + of(d), 0);
  return sum(([x, y]) => x * y) / Math.sqrt(sum(([x]) => x * x) * sum(([, y]) => y * y));
};

const correlationValue = (file: BudgetFile, entry: BudgetFile["correlations"][number]): number => {
  if (entry.r !== "readings") return entry.r;
  const [a, b] = entry.between.map((name) => file.inputs[name]);
  if (a?.distribution !== "readings" || b?.distribution !== "readings") return Number.NaN;
  return correlationOfReadings(a.readings, b.readings);
};

const correlationMatrix = (file: BudgetFile): readonly (readonly number[])[] => {
  const names = Object.keys(file.inputs);
  const matrix = names.map((_, i) => names.map((__, j): number => (i === j ? 1 : 0)));
  const put = (i: number, j: number, r: number): void => {
    const row = matrix[i];
    if (row !== undefined) row[j] = r;
  };
  for (const entry of file.correlations) {
    const [i, j] = entry.between.map((name) => names.indexOf(name)) as [number, number];
    const r = correlationValue(file, entry);
    put(i, j, r);
    put(j, i, r);
  }
  return matrix;
};

const inputRules = (file: BudgetFile, blame: Blame): void => {
  for (const [name, input] of Object.entries(file.inputs)) {
    if (RESERVED_NAMES.includes(name)) {
      const remedy = "Give the input another name, such as x_1.";
      blame(["inputs", name], {
        code: "bad-value",
        message: `"${name}" has a meaning in formulas.`,
        remedy,
        at: "key",
      });
    }
    if (
      input.distribution === "normal" &&
      (input.u === undefined) === (input.U === undefined || input.k === undefined)
    ) {
      const message = `Input "${name}" needs its standard uncertainty once.`;
      blame(["inputs", name], { code: "contradiction", message, remedy: "Give u, or U together with k, not both." });
    }
    if ("doubt_of_u" in input && input.doubt_of_u !== undefined && input.degrees_of_freedom !== undefined) {
      const message = `Input "${name}" has both degrees_of_freedom and doubt_of_u.`;
      blame(["inputs", name], { code: "contradiction", message, remedy: "Leave one of them: each says the other." });
    }
    if (input.distribution === "curved-trapezoid" && input.doubt >= input.half_width) {
      const message = `The doubt of "${name}" is as wide as its half-width.`;
      blame(["inputs", name, "doubt"], {
        code: "contradiction",
        message,
        remedy: "Give a doubt below the half-width.",
      });
    }
  }
};

/** Coverage probability; that of a normal distribution where k was agreed. */
const coverageOfFactor = (k: number | undefined): number => (k === undefined ? 0.95 : normalBetween(-k, k));

const coverageRule = (file: BudgetFile, blame: Blame): void => {
  if (file.coverage === undefined || file.coverage_factor === undefined) return;
  const message = "There is a coverage probability and a coverage factor.";
  blame(["coverage_factor"], { code: "contradiction", message, remedy: "Leave one of them: each says the other." });
};

const modelRules = (file: BudgetFile, blame: Blame): void => {
  const names = Object.keys(file.inputs);
  const used = new Set<string>();
  for (const [output, { model }] of Object.entries(file.outputs)) {
    const parsed = parseExpression(model, names);
    if (parsed.ok) for (const name of namesIn(parsed.value)) used.add(name);
    else blame(["outputs", output, "model"], { code: "bad-value", ...parsed.fault });
    if (names.includes(output)) {
      const message = `"${output}" is the name of an input as well.`;
      blame(["outputs", output], {
        code: "contradiction",
        message,
        remedy: "Give the output another name.",
        at: "key",
      });
    }
  }
  if (Object.keys(file.outputs).length === 0) {
    const message = "There is no output.";
    blame(["outputs"], { code: "missing-key", message, remedy: "Add an output with its model." });
  }
};

const correlationRules = (file: BudgetFile, blame: Blame): void => {
  const seen = new Set<string>();
  file.correlations.forEach((entry, at) => {
    const path = ["correlations", at];
    const pair = entry.between.toSorted().join(" ");
    const unknown = entry.between.find((name) => !Object.hasOwn(file.inputs, name));
    if (unknown !== undefined) {
      const remedy = `The inputs are ${Object.keys(file.inputs).join(", ")}.`;
      blame([...path, "between"], { code: "unknown-name", message: `"${unknown}" is no input.`, remedy });
    } else if (entry.between[0] === entry.between[1] || seen.has(pair)) {
      const message = `The correlation between ${entry.between.join(" and ")} is stated twice or with itself.`;
      blame([...path, "between"], {
        code: "contradiction",
        message,
        remedy: "Name two different inputs, each pair once.",
      });
    } else if (!Number.isFinite(correlationValue(file, entry))) {
      const message = `${entry.between.join(" and ")} give no correlation from readings.`;
      const remedy = "Both need readings that vary; or give r as a number.";
      blame([...path, "r"], { code: "contradiction", message, remedy });
    } else if (entry.r === "readings" && lengthsDiffer(file, entry.between)) {
      const message = `${entry.between.join(" and ")} do not have the same number of readings.`;
      blame([...path, "r"], { code: "contradiction", message, remedy: "Give readings that were taken in pairs." });
    }
    seen.add(pair);
  });
};

const lengthsDiffer = (file: BudgetFile, between: readonly string[]): boolean => {
  const lengths = between.map((name) => {
    const input = file.inputs[name];
    return input?.distribution === "readings" ? input.readings.length : 0;
  });
  return lengths[0] !== lengths[1];
};

const matrixRule = (file: BudgetFile, blame: Blame): void => {
  if (file.correlations.length === 0 || choleskyFactor(correlationMatrix(file)) !== null) return;
  const message = "These correlations cannot all hold at once: their matrix is not positive.";
  blame(["correlations"], { code: "contradiction", message, remedy: "Check signs and sizes of r; make them smaller." });
};

/**
 * Budget text (YAML, or JSON, which is YAML) to a model. Pure; every fault with line and column.
 *
 * @param fileName for the messages only
 */
export const parseBudgetModel = (text: string, fileName: string): Result<BudgetModel, readonly FileFault[]> => {
  let sound = true;
  const read = readFileText(budgetFileSchema, text, fileName, (file, blame) => {
    const note: Blame = (path, words) => {
      sound = false;
      blame(path, words);
    };
    inputRules(file, note);
    coverageRule(file, note);
    modelRules(file, note);
    correlationRules(file, note);
    if (sound) matrixRule(file, note);
  });
  if (!read.ok) return err(read.fault);
  const file = read.value;
  const names = Object.keys(file.inputs);
  const outputs = Object.entries(file.outputs).flatMap(([name, { model, unit }]) => {
    const parsed = parseExpression(model, names);
    return parsed.ok ? [{ name, unit, text: model, expression: parsed.value }] : [];
  });
  return ok({
    title: file.title,
    inputs: Object.entries(file.inputs).map(inputOf),
    outputs,
    correlation: correlationMatrix(file),
    correlated: file.correlations.length > 0,
    coverage: file.coverage ?? coverageOfFactor(file.coverage_factor),
    ...(file.coverage_factor === undefined ? {} : { coverage_factor: file.coverage_factor }),
    interval: file.interval,
    degrees_of_freedom: file.degrees_of_freedom,
    digits: file.digits,
  });
};
