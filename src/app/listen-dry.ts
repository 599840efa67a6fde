import { existsSync, readFileSync } from "node:fs";
import { readCapture } from "../../drivers/profiles/captured-frames.ts";
import type { LineProfile } from "../../drivers/profiles/line-profile.schema.ts";
import { type Profile, readProfile } from "../../drivers/profiles/read-profile.ts";
import { readGroups } from "../../drivers/registers/read-groups.ts";
import { fieldsOf, type SpeltOut, spellOut } from "../../drivers/registers/spell-out.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";

/** What a profile makes of captured bytes, without a line. */
export interface DryCheck {
  readonly profile: string;
  readonly found: readonly { readonly heard: string; readonly says: readonly SpeltOut[]; readonly trouble?: string }[];
  /** Fields of the profile that no captured byte spoke of. */
  readonly unseen: readonly string[];
}

/** Bytes given as hex digits, with blanks, commas or 0x between them; comments after # and the marks > < are skipped. */
const bytesOfHex = (text: string): Uint8Array | null => {
  const digits = text
    .replace(/#.*$/gmu, "")
    .replace(/0x/giu, "")
    .replace(/[\s,:<>]/gu, "");
  if (digits === "" || digits.length % 2 !== 0 || !/^[0-9a-f]+$/iu.test(digits)) return null;
  return Uint8Array.from(digits.match(/../gu) ?? [], (pair) => Number.parseInt(pair, 16));
};

const dryRegisters = (profile: Extract<Profile, { kind: "registers" }>, bytes: Uint8Array): DryCheck => {
  const fields = fieldsOf(profile);
  const groups = readGroups(fields);
  const seen = new Set<string>();
  const found = readCapture(bytes).map((each) => {
    if (each.kind === "unreadable") {
      return {
        heard: `${each.bytes} bytes that fit nowhere`,
        says: [],
        trouble: "no frame with a right checksum begins there: is the capture whole, and of Modbus?",
      };
    }
    if (each.kind !== "answer") {
      return {
        heard: `unit ${each.unit}: ${each.kind === "refusal" ? `refused, ${each.words}` : each.words}`,
        says: [],
      };
    }
    const { table, values, unit } = each;
    // Without the question only a group of the same table and length can be meant.
    const fitting = groups.filter((group) => group.table === table && group.count === values.length);
    const address = each.address ?? (fitting.length === 1 ? (fitting[0]?.address ?? null) : null);
    const heard = `unit ${unit}: ${values.length} of ${table}${address === null ? "" : ` from ${address}`}`;
    if (address === null) {
      return {
        heard,
        says: [],
        trouble: "the question was not captured, so it cannot be told which registers these are",
      };
    }
    const says = spellOut(fields, { table, address }, values);
    for (const { name } of says) seen.add(name);
    const guessed =
      each.address === null ? { trouble: "the question was not captured; taken for the group of that length" } : {};
    return { heard, says, ...(says.length === 0 ? { trouble: "the profile names none of these registers" } : guessed) };
  });
  return { profile: profile.name, found, unseen: Object.keys(fields).filter((name) => !seen.has(name)) };
};

/** Questions of a line profile by the name they go under. */
const queriesOf = (
  profile: LineProfile,
): readonly { readonly name: string; readonly ask: string; readonly answer: RegExp }[] => [
  { name: "identity", ...profile.identity },
  ...(["settings", "readings"] as const).flatMap((section) =>
    Object.entries(profile[section]).map(([name, { ask, answer }]) => ({ name: `${section}.${name}`, ask, answer })),
  ),
  ...Object.entries(profile.commands).map(([name, { confirm, answer }]) => ({
    name: `commands.${name}`,
    ask: confirm,
    answer,
  })),
];

/** Lines as captured: `> question` and `< answer`, or answers alone. */
const dryLines = (profile: Extract<Profile, { kind: "lines" }>, text: string): DryCheck => {
  const queries = queriesOf(profile);
  const seen = new Set<string>();
  let asked: string | null = null;
  const found: DryCheck["found"][number][] = [];
  for (const raw of text.split(/\r\n|\r|\n/u)) {
    const line = raw.trim();
    if (line === "") continue;
    if (line.startsWith(">")) {
      asked = line.slice(1).trim();
      continue;
    }
    const answer = line.replace(/^<\s*/u, "");
    const meant = queries.filter(({ ask }) => asked === null || ask === asked);
    const fitting = meant.flatMap(({ name, answer: pattern }) => {
      const groups = pattern.exec(answer)?.groups;
      return groups === undefined ? [] : [{ name, groups }];
    });
    for (const { name } of fitting) seen.add(name);
    const says = fitting.map(({ name, groups }) => ({
      name,
      text: Object.entries(groups)
        .map(([group, value]) => `${group} ${JSON.stringify(value ?? "")}`)
        .join(", "),
    }));
    const heard = asked === null ? answer : `${asked} -> ${answer}`;
    found.push({
      heard,
      says,
      ...(says.length === 0 ? { trouble: "no pattern of the profile fits this answer" } : {}),
    });
    asked = null;
  }
  return { profile: profile.name, found, unseen: queries.map(({ name }) => name).filter((name) => !seen.has(name)) };
};

/** Checks a profile against bytes: hex digits, or a file that holds them (lines of text for a line profile). */
export const dryCheck = (profileName: string, hexOrFile: string): Result<DryCheck, Fault> => {
  const profile = readProfile(profileName);
  if (!profile.ok) return profile;
  const text = existsSync(hexOrFile) ? readFileSync(hexOrFile, "latin1") : hexOrFile;
  const bytes = bytesOfHex(text);
  if (profile.value.kind === "lines") {
    return ok(dryLines(profile.value, bytes === null ? text : String.fromCharCode(...bytes)));
  }
  return bytes === null
    ? err(
        fault("refused", "bad-option", `"${hexOrFile.slice(0, 40)}" is neither a file nor hex digits in pairs.`, {
          remedy: "Give the bytes as in 02 04 00 00 00 02 71 F8, or a file that holds them.",
        }),
      )
    : ok(dryRegisters(profile.value, bytes));
};
