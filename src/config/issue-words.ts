import type { z } from "zod";
import { nearestWord } from "../vocabulary/nearest-word.ts";
import { type FaultWords, type FilePath, pathText } from "./file-fault.ts";
import { factsOf, schemaAt, shapeOf, valueAt, wantedText } from "./schema-walk.ts";
import type { YamlText } from "./yaml-text.ts";

export type Issue = z.core.$ZodIssue;

const QUANTITY = /pressure|current|temperature|duration|percentage/u;

const shown = (value: unknown): string => {
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object" && value !== null) return "a group of keys";
  return typeof value === "string" ? `"${value}"` : String(value);
};

/** `one of a, b, c`, with the nearest first when one is near. */
const pick = (value: unknown, words: readonly string[]): string => {
  const near = typeof value === "string" ? nearestWord(value, words) : null;
  const list = words.length === 1 ? `Write ${words[0]}.` : `Write one of ${words.join(", ")}.`;
  return near !== null && words.length > 1 ? `Did you mean ${near}? ${list}` : list;
};

/** `a pressure, such as 3 psi`; `text`, words to choose from and `true or false` stay as they are. */
const withArticle = (wanted: string): string =>
  /^(?:whole|number|group|list|value|name|day|pressure|current|temperature|duration|percentage)\b/u.test(wanted)
    ? `a ${wanted}`
    : wanted;

const missing = (
  path: FilePath,
  schema: z.ZodType | undefined,
  options: readonly string[],
  empty: boolean,
): FaultWords => {
  const description = schema === undefined ? undefined : factsOf(schema).description;
  const keys = schema === undefined ? undefined : shapeOf(schema, undefined);
  const wanted =
    options.length > 0
      ? `one of ${options.join(", ")}`
      : keys !== undefined
        ? `the keys ${Object.keys(keys).join(", ")} below it`
        : withArticle(schema === undefined ? "value" : wantedText(schema));
  return {
    code: "missing-key",
    message: empty ? `${pathText(path)} has no value.` : `${pathText(path)} is missing.`,
    remedy: `${empty ? "Write" : `Add ${String(path.at(-1) ?? "")}: with`} ${wanted}${description === undefined ? "" : ` (${description})`}.`,
  };
};

const wrongType = (path: FilePath, schema: z.ZodType | undefined, value: unknown): FaultWords => {
  const name = pathText(path);
  const wanted = schema === undefined ? "text" : wantedText(schema);
  const scalar = typeof value === "number" || typeof value === "boolean";
  if (scalar && schema !== undefined && QUANTITY.test(factsOf(schema).title ?? "")) {
    return {
      code: "bad-quantity",
      message: `${name} is ${String(value)}, which has no unit.`,
      remedy: `Write ${withArticle(wanted)}.`,
    };
  }
  if (scalar && wanted === "text") {
    return {
      code: "wrong-type",
      message: `${name} is read as ${typeof value === "number" ? "a number" : "true or false"}, but text is wanted.`,
      remedy: "Put it in quotes, as it stands on the label or paper.",
    };
  }
  const keys = schema === undefined ? undefined : shapeOf(schema, value);
  return {
    code: "wrong-type",
    message: `${name === "" ? "The file" : name} is ${shown(value)}, but ${withArticle(wanted)} is wanted.`,
    remedy:
      keys === undefined
        ? `Write ${withArticle(wanted)}.`
        : `Indent its keys below it: ${Object.keys(keys).join(", ")}.`,
  };
};

const outsideBounds = (name: string, issue: Issue, value: unknown): FaultWords => {
  if (issue.code !== "too_small" && issue.code !== "too_big") throw new TypeError(issue.code);
  const low = issue.code === "too_small";
  const bound = low ? issue.minimum : issue.maximum;
  if (issue.origin === "string" || issue.origin === "array") {
    return {
      code: "bad-value",
      message: `${name} is empty.`,
      remedy: "Fill it in, or leave the key out if it may be.",
    };
  }
  const edge = issue.inclusive === false ? (low ? "above" : "below") : low ? "at or above" : "at or below";
  return {
    code: "bad-value",
    message: `${name} is ${String(value)}, outside what is allowed.`,
    remedy: `Write a number ${edge} ${bound}.`,
  };
};

/** The words of the key that tells the options of a union apart. */
const optionWords = (issue: Issue): readonly string[] =>
  issue.code === "invalid_union" && "options" in issue ? (issue.options ?? []).map(String) : [];

/** Own words for one issue of the schema at a path. */
export const wordsOf = (issue: Issue, path: FilePath, text: YamlText, schema: z.ZodType): FaultWords => {
  const name = pathText(path);
  const value = valueAt(text.value, path);
  const at = schemaAt(schema, text.value, path);
  if (value === null || (value === undefined && issue.code !== "invalid_key"))
    return missing(path, at, optionWords(issue), value === null);
  switch (issue.code) {
    case "invalid_type":
      return wrongType(path, at, value);
    case "invalid_value":
      return {
        code: "bad-value",
        message:
          issue.values.length === 1
            ? `${name} is ${shown(value)}, but ${String(issue.values[0])} is wanted here.`
            : `${name} is ${shown(value)}, which is not known.`,
        remedy: pick(value, issue.values.map(String)),
      };
    case "invalid_union":
      return {
        code: "bad-value",
        message: `${name} is ${shown(value)}, which is not known.`,
        remedy: pick(value, optionWords(issue)),
      };
    case "too_small":
    case "too_big":
      return outsideBounds(name, issue, value);
    case "invalid_format":
      return issue.format === "date"
        ? { code: "bad-value", message: `${name} is ${shown(value)}, which is no day.`, remedy: "Write YYYY-MM-DD." }
        : { code: "bad-value", message: `${name} is ${shown(value)}.`, remedy: issue.message };
    case "invalid_key":
      return {
        code: "bad-value",
        at: "key",
        message: `"${String(path.at(-1))}" cannot be a name here.`,
        remedy: issue.issues[0]?.message ?? "Use lower-case letters, digits and hyphens.",
      };
    default: {
      const remedy: unknown = issue.code === "custom" ? issue.params?.["remedy"] : undefined;
      return {
        code: "bad-quantity",
        message: `${name}: ${issue.message}`,
        remedy: typeof remedy === "string" ? remedy : "Correct it.",
      };
    }
  }
};
