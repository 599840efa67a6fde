import type { z } from "zod";
import { nearestWord } from "../vocabulary/nearest-word.ts";
import { type FaultWords, type FileFault, type FilePath, faultAt, inOrder, pathText } from "./file-fault.ts";
import { type Issue, wordsOf } from "./issue-words.ts";
import { isRecord, keysBelow, schemaAt, shapeOf, valueAt } from "./schema-walk.ts";
import type { YamlText } from "./yaml-text.ts";

interface Found {
  readonly path: FilePath;
  readonly words: FaultWords;
}

/** The heading at the top of the file below which all these keys are at home. */
const homeOf = (keys: readonly string[], schema: z.ZodType): string | undefined =>
  Object.entries(shapeOf(schema, undefined) ?? {}).find(([, group]) =>
    keys.every((key) => keysBelow(group).includes(key)),
  )?.[0];

/** A key that was written and is not known, and the needed key that it stands for, if any. */
interface Unknown extends Found {
  readonly stoodFor?: string;
}

/** Keys of a group that are not known: slips one by one, each with the key that was meant, and strangers together. */
const unknownKeys = (issue: Issue, path: FilePath, text: YamlText, schema: z.ZodType): readonly Unknown[] => {
  if (issue.code !== "unrecognized_keys") return [];
  const group = schemaAt(schema, text.value, path);
  const allowed = Object.keys((group === undefined ? undefined : shapeOf(group, valueAt(text.value, path))) ?? {});
  const present = new Set(Object.keys((valueAt(text.value, path) as object | undefined) ?? {}));
  const free = allowed.filter((key) => !present.has(key));
  const where = path.length === 0 ? "The file" : pathText(path);
  const strangers: string[] = [];
  const slips = issue.keys.flatMap((key): readonly Unknown[] => {
    const glued = free.find((each) => key.startsWith(`${each} `));
    const near = glued ?? nearestWord(key, free) ?? nearestWord(key, allowed);
    if (near === null) {
      strangers.push(key);
      return [];
    }
    const [message, remedy] =
      glued === undefined
        ? [`${where} knows no key ${key}.`, `Did you mean ${near}? Allowed here: ${allowed.join(", ")}.`]
        : [`There is no colon after ${glued}.`, `Write ${glued}: ${key.slice(glued.length).trim()}.`];
    const words: FaultWords = { code: "unknown-key", at: "key", message, remedy };
    return [{ path: [...path, key], words, stoodFor: pathText([...path, near]) }];
  });
  const [first] = strangers;
  if (first === undefined) return slips;
  const home = path.length === 0 ? undefined : homeOf(strangers, schema);
  const words: FaultWords = {
    code: "unknown-key",
    at: "key",
    message: `${where} knows no key ${strangers.join(", ")}.`,
    remedy: `${home === undefined ? "" : `Is the heading ${home}: missing above? `}Allowed here: ${allowed.join(", ")}.`,
  };
  return [...slips, { path: [...path, first], words }];
};

/** Groups that should each have a name of their own, but whose keys stand where the names belong: their heading is lost. */
const lostNames = (found: readonly Found[], text: YamlText, schema: z.ZodType): readonly FilePath[] => {
  const parents = found.flatMap(({ path }) => (path.length === 2 ? [path.slice(0, 1)] : []));
  return parents.filter((parent, index) => {
    if (parents.findIndex((each) => pathText(each) === pathText(parent)) !== index) return false;
    if (!isRecord(schemaAt(schema, text.value, parent))) return false;
    const values = Object.values((valueAt(text.value, parent) as object | null) ?? {});
    return values.filter((value) => typeof value !== "object" || value === null).length > 1;
  });
};

/** One mistake, one message: what follows from a lost heading or a lost name is not told as well. */
const withoutConsequences = (found: readonly Found[], text: YamlText, schema: z.ZodType): readonly Found[] => {
  const lostGroups = found.filter(({ path, words }) => {
    const at = schemaAt(schema, text.value, path);
    const isGroup = at !== undefined && (isRecord(at) || shapeOf(at, undefined) !== undefined);
    return words.code === "missing-key" && path.length === 1 && isGroup;
  });
  if (lostGroups.length > 0) return lostGroups;
  const nameless = lostNames(found, text, schema).map(pathText);
  const told = nameless.map(
    (name): Found => ({
      path: [name],
      words: {
        code: "wrong-type",
        at: "key",
        message: `The keys below ${name} stand where names belong.`,
        remedy: `Put a name of your own above them, such as ${name.replace(/s$/u, "")}-1:, and indent them below it.`,
      },
    }),
  );
  return [...told, ...found.filter(({ path }) => !nameless.includes(String(path[0])))];
};

/** Groups with several unknown keys: they are another group, so what they miss of this one is no news. */
const strangeGroups = (issues: readonly Issue[]): readonly Issue[] =>
  issues.filter((issue) => issue.code === "unrecognized_keys" && issue.keys.length > 1);

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
  const foreign = new Set(strangeGroups(issues).map((issue) => pathText(toPath(issue))));
  const others = issues
    .filter((issue) => issue.code !== "unrecognized_keys")
    .map((issue) => ({ path: toPath(issue), words: wordsOf(issue, toPath(issue), text, schema) }))
    .filter(({ path, words }) => {
      if (words.code !== "missing-key") return true;
      return !misspelt.has(pathText(path)) && !foreign.has(pathText(path.slice(0, -1)));
    });
  const found = withoutConsequences([...unknown, ...others], text, schema);
  return inOrder(found.map(({ path, words }) => faultAt(text.source, path, words)));
};
