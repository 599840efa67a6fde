import { readdirSync, readFileSync } from "node:fs";
import { basename } from "node:path";
import { fileURLToPath } from "node:url";
import { type Document, isMap, isNode, isPair, LineCounter, parseDocument } from "yaml";
import type { z } from "zod";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, ok, type Result } from "../../src/vocabulary/result.ts";
import { type LineProfile, lineProfileSchema } from "./line-profile.schema.ts";
import { type RegisterProfile, registerProfileSchema } from "./register-profile.schema.ts";

export type Profile =
  | ({ readonly kind: "registers"; readonly name: string } & RegisterProfile)
  | ({ readonly kind: "lines"; readonly name: string } & LineProfile);

const bad = (lines: readonly string[], remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-file", lines.join("\n"), { remedy }));

/** Where a path of keys stands in the text; the nearest part that was written when the end of it was not. */
const placeOf = (document: Document, lines: LineCounter, path: readonly PropertyKey[]): string => {
  for (let length = path.length; length >= 0; length -= 1) {
    const node = findNode(document.contents, path.slice(0, length));
    if (isNode(node) && node.range) {
      const { line, col } = lines.linePos(node.range[0]);
      return `${line}:${col}`;
    }
  }
  return "1:1";
};

const findNode = (from: unknown, path: readonly PropertyKey[]): unknown => {
  let node = from;
  for (const key of path) {
    if (!isMap(node)) return undefined;
    const pair = node.items.find((item) => isPair(item) && String(item.key) === String(key));
    node = pair?.value ?? undefined;
  }
  return node;
};

const issueText = (issue: z.core.$ZodIssue): string => {
  const where = issue.path.map(String).join(".");
  const what = issue.code === "unrecognized_keys" ? `there is no key ${issue.keys.join(", ")}` : issue.message;
  return where === "" ? what : `${where}: ${what}`;
};

/**
 * Reads the text of a profile. Trouble comes as `bad-file`, one line each: `name.yaml:12:5  readings.pressure.unit: …`.
 */
export const parseProfile = (text: string, fileName: string): Result<Profile, Fault> => {
  const counter = new LineCounter();
  const document = parseDocument(text, { lineCounter: counter, prettyErrors: false, version: "1.2" });
  const remedy = "Correct the profile; DEVELOPERS.md shows each key.";
  if (document.errors.length > 0) {
    const told = document.errors.map(({ pos, message }) => {
      const { line, col } = counter.linePos(pos[0]);
      return `${fileName}:${line}:${col}  ${message}`;
    });
    return bad(told, remedy);
  }
  let data: unknown;
  try {
    data = document.toJS();
  } catch (trouble) {
    // An alias without its anchor shows only here: as a rule a query such as *IDN? without quotation marks.
    const why = trouble instanceof Error ? trouble.message : String(trouble);
    return bad([`${fileName}  ${why}`], 'Put text that begins with * or & in quotation marks, as in ask: "*IDN?".');
  }
  const format = typeof data === "object" && data !== null && "format" in data ? data.format : undefined;
  const name = basename(fileName).replace(/\.ya?ml$/u, "");
  const complain = (issues: readonly z.core.$ZodIssue[]): Result<never, Fault> =>
    bad(
      issues.map((issue) => {
        const path = issue.code === "unrecognized_keys" ? [...issue.path, issue.keys[0] ?? ""] : issue.path;
        return `${fileName}:${placeOf(document, counter, path)}  ${issueText(issue)}`;
      }),
      remedy,
    );
  if (format === "stillpoint-register-profile 1") {
    const read = registerProfileSchema.safeParse(data);
    return read.success ? ok({ kind: "registers", name, ...read.data }) : complain(read.error.issues);
  }
  if (format === "stillpoint-line-profile 1") {
    const read = lineProfileSchema.safeParse(data);
    return read.success ? ok({ kind: "lines", name, ...read.data }) : complain(read.error.issues);
  }
  return bad(
    [`${fileName}:${placeOf(document, counter, ["format"])}  format is ${JSON.stringify(format ?? null)}`],
    'Write "stillpoint-register-profile 1" or "stillpoint-line-profile 1".',
  );
};

/** The folder of the profiles that come along: beside this file, or beside the sources when this runs from `dist`. */
const FOLDERS = ["./", "../../../drivers/profiles/"].map((path) => fileURLToPath(new URL(path, import.meta.url)));

const yamlIn = (folder: string): readonly string[] => {
  try {
    return readdirSync(folder).filter((file) => file.endsWith(".yaml"));
  } catch {
    return [];
  }
};

const home = (): string => FOLDERS.find((folder) => yamlIn(folder).length > 0) ?? FOLDERS[0] ?? "";

/** Names of the profiles that come along, in order. */
export const profileNames = (): readonly string[] =>
  yamlIn(home())
    .map((file) => file.replace(/\.yaml$/u, ""))
    .sort();

/** A profile by its name among those that come along, or a file by its path (`./my-gauge.yaml`). */
export const readProfile = (nameOrPath: string): Result<Profile, Fault> => {
  const isPath = /[/\\]|\.ya?ml$/u.test(nameOrPath);
  const path = isPath ? nameOrPath : `${home()}${nameOrPath}.yaml`;
  try {
    return parseProfile(readFileSync(path, "utf8"), isPath ? nameOrPath : `${nameOrPath}.yaml`);
  } catch (trouble) {
    const why = trouble instanceof Error ? trouble.message : String(trouble);
    return isPath
      ? bad([`The profile ${nameOrPath} cannot be read: ${why}.`], "Check the path.")
      : bad(
          [`There is no profile ${nameOrPath}.`],
          `There are: ${profileNames().join(", ")}; or give the path of a file.`,
        );
  }
};
