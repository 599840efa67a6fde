import { readFileSync, statSync } from "node:fs";
import { homedir } from "node:os";
import { join } from "node:path";

/** Where the password of a login comes from: PGPASSWORD, or the password file (PostgreSQL documentation, "The Password File"). */

export interface Wanted {
  readonly host: string;
  readonly port: string;
  readonly database: string;
  readonly login: string;
}

/** Fields of a line; `\:` and `\\` stand for the plain characters. */
const fieldsOf = (line: string): readonly string[] =>
  [...line.matchAll(/((?:\\.|[^\\:])*)(?::|$)/gu)].map(([, field = ""]) => field.replaceAll(/\\(.)/gu, "$1"));

/** The first line that fits, field by field or by `*`; null when none does. */
export const passwordIn = (text: string, { host, port, database, login }: Wanted): string | null => {
  for (const line of text.split(/\r?\n/u)) {
    if (line.startsWith("#") || line === "") continue;
    const [password, ...patterns] = [fieldsOf(line)[4], ...fieldsOf(line).slice(0, 4)];
    const fits = [host, port, database, login].every((value, i) => patterns[i] === "*" || patterns[i] === value);
    if (fits && password !== undefined) return password;
  }
  return null;
};

const fileOf = (env: NodeJS.ProcessEnv): string =>
  env["PGPASSFILE"] ??
  (process.platform === "win32"
    ? join(env["APPDATA"] ?? homedir(), "postgresql", "pgpass.conf")
    : join(homedir(), ".pgpass"));

/** "" when there is none: the server then says whether it wants one. Throws when the file is open to others. */
export const passwordFor = (wanted: Wanted, env: NodeJS.ProcessEnv = process.env): string => {
  if (env["PGPASSWORD"] !== undefined) return env["PGPASSWORD"];
  const path = fileOf(env);
  let text: string;
  let mode: number;
  try {
    text = readFileSync(path, "utf8");
    mode = statSync(path).mode;
  } catch {
    return "";
  }
  if (process.platform !== "win32" && (mode & 0o077) !== 0) {
    throw new OpenPasswordFile(path);
  }
  return passwordIn(text, wanted) ?? "";
};

export class OpenPasswordFile extends Error {
  constructor(path: string) {
    super(`the password file ${path} can be read by others`);
  }
}
