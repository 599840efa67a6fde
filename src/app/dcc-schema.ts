import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { validateXML } from "xmllint-wasm";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/**
 * The schema of digital certificates from a folder of the user's: it is not ours to ship. Every schema that `dcc.xsd`
 * leads to is looked for in the folder, also those that it names by a public address: nothing is fetched.
 */
export interface DccSchema {
  readonly files: readonly { readonly fileName: string; readonly contents: string }[];
}

const refused = (message: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", message, {
      means: "The digital certificate was not checked against its schema.",
      remedy: "Give a folder that holds dcc.xsd 3.3.0 with the schemas it imports, or leave --schemas out.",
    }),
  );

/** Files of a folder and its folders; the first of a name counts, nearer ones first. */
const schemasIn = (folder: string): readonly string[] => {
  const entries = readdirSync(folder, { withFileTypes: true }).sort((a, b) => (a.name < b.name ? -1 : 1));
  return [
    ...entries.filter((e) => e.isFile() && e.name.endsWith(".xsd")).map((e) => join(folder, e.name)),
    ...entries.filter((e) => e.isDirectory()).flatMap((e) => schemasIn(join(folder, e.name))),
  ];
};

const IMPORT = /schemaLocation="([^"]+)"/g;

export const readDccSchema = (folder: string): Result<DccSchema, Fault> => {
  const root = join(folder, "dcc.xsd");
  if (!existsSync(root) || !statSync(root).isFile()) return refused(`There is no dcc.xsd in ${folder}.`);
  const all = schemasIn(folder);
  const files = new Map<string, string>();
  const lost: string[] = [];
  /** Takes a schema in under a flat name, and all that it leads to. */
  const take = (path: string): string => {
    const name = `${files.size}-${basename(path)}`;
    const known = [...files.keys()].find((key) => key.replace(/^\d+-/, "") === basename(path));
    if (known !== undefined) return known;
    files.set(name, "");
    const text = readFileSync(path, "utf8").replaceAll(IMPORT, (whole, location: string) => {
      const beside = join(dirname(path), location);
      const wanted = basename(location).toLowerCase();
      const found = existsSync(beside) ? beside : all.find((one) => basename(one).toLowerCase() === wanted);
      if (found === undefined) lost.push(location);
      return found === undefined ? whole : `schemaLocation="${take(found)}"`;
    });
    files.set(name, text);
    return name;
  };
  take(root);
  if (lost.length > 0) return refused(`${folder} does not hold ${lost.join(", ")}, which dcc.xsd imports.`);
  return ok({ files: [...files].map(([fileName, contents]) => ({ fileName, contents })) });
};

/** What the schema complains about in each document, with the line; nothing where it accepts one. */
export const schemaComplaints = async (
  schema: DccSchema,
  documents: readonly string[],
): Promise<readonly (readonly string[])[]> => {
  const [root, ...others] = schema.files;
  const names = documents.map((_, i) => `certificate-${i}.xml`);
  const { errors } = await validateXML({
    xml: documents.map((contents, i) => ({ fileName: names[i] ?? "", contents })),
    schema: root === undefined ? [] : [root],
    preload: others,
  });
  return names.map((name) =>
    errors
      .filter((e) => e.rawMessage.startsWith(`${name}:`))
      .map((e) => (e.loc === null ? e.message : `line ${e.loc.lineNumber}: ${e.message}`)),
  );
};
