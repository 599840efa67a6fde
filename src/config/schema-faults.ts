import type { z } from "zod";
import { nearestWord } from "../vocabulary/nearest-word.ts";
import { type FaultWords, type FileFault, type FilePath, faultAt, inOrder, pathText } from "./file-fault.ts";
import { factsOf, schemaAt, shapeOf, valueAt, wantedText } from "./schema-walk.ts";
import type { YamlText } from "./yaml-text.ts";

type Issue = z.core.$ZodIssue;

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

const wordsOf = (issue: Issue, path: FilePath, text: YamlText, schema: z.ZodType): FaultWords => {
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

/** Keys of a group that were written and are not known, each with the key that was probably meant. */
const unknownKeys = (issue: Issue, path: FilePath, text: YamlText, schema: z.ZodType) => {
  if (issue.code !== "unrecognized_keys") return [];
  const group = schemaAt(schema, text.value, path);
  const allowed = Object.keys((group === undefined ? undefined : shapeOf(group, valueAt(text.value, path))) ?? {});
  const present = new Set(Object.keys((valueAt(text.value, path) as object | undefined) ?? {}));
  const free = allowed.filter((key) => !present.has(key));
  return issue.keys.map((key) => {
    const near = nearestWord(key, free) ?? nearestWord(key, allowed);
    const words: FaultWords = {
      code: "unknown-key",
      at: "key",
      message: `${path.length === 0 ? "The file" : pathText(path)} knows no key ${key}.`,
      remedy: `${near === null ? "" : `Did you mean ${near}? `}Allowed here: ${allowed.join(", ")}.`,
    };
    return { path: [...path, key], words, stoodFor: near === null ? undefined : pathText([...path, near]) };
  });
};

/**
 * Every mistake that the schema found, once each: a misspelt key does not count as a missing one as well, and a file
 * of another kind is told so and nothing more.
 */
export const schemaFaults = (schema: z.ZodType, issues: readonly Issue[], text: YamlText): readonly FileFault[] => {
  const toPath = (issue: Issue): FilePath =>
    issue.path.map((key) => (typeof key === "symbol" ? (key.description ?? "") : key));
  const kind = issues.find((issue) => issue.path.length === 1 && issue.path[0] === "format");
  if (kind !== undefined) return [faultAt(text.source, ["format"], wordsOf(kind, ["format"], text, schema))];
  const unknown = issues.flatMap((issue) => unknownKeys(issue, toPath(issue), text, schema));
  const misspelt = new Set(unknown.map(({ stoodFor }) => stoodFor));
  const others = issues
    .filter((issue) => issue.code !== "unrecognized_keys")
    .map((issue) => ({ path: toPath(issue), words: wordsOf(issue, toPath(issue), text, schema) }))
    .filter(({ path, words }) => !(words.code === "missing-key" && misspelt.has(pathText(path))));
  return inOrder([...unknown, ...others].map(({ path, words }) => faultAt(text.source, path, words)));
};
