import { type Command, InvalidArgumentError } from "commander";
import { IDENTITY_KEYS, type IdentityChange } from "../app/certificate-ledger.ts";
import type { CertificateLife } from "../app/certificate-life.ts";
import type { Fault } from "../vocabulary/fault.ts";
import type { Result } from "../vocabulary/result.ts";
import { EXIT } from "./exit-codes.ts";
import { personOf } from "./option-values.ts";
import { sayFault } from "./say-fault.ts";
import { type Streams, say } from "./streams.ts";

/** Options and words that the commands of a certificate's life share. */

export const addStore = (command: Command): Command =>
  command.option("--store <folder>", "folder of certificates and their ledger", "certificates");

export type Person = NonNullable<ReturnType<typeof personOf>>;

export const personIn = (text: string): Person => {
  const person = personOf(text);
  if (person === undefined)
    throw new InvalidArgumentError('Write a name, and a role if you like: "C. Head: head of the workshop".');
  return person;
};

/** `customer=New name`, collected. */
export const addChange = (text: string, before: IdentityChange = {}): IdentityChange => {
  const [, key = "", value = ""] = /^([a-z_]+)=(.+)$/s.exec(text.trim()) ?? [];
  const known = IDENTITY_KEYS.find((k) => k === key);
  if (known === undefined || value.trim() === "") {
    throw new InvalidArgumentError(`Write KEY=TEXT with one of ${IDENTITY_KEYS.join(", ")}.`);
  }
  return { ...before, [known]: value.trim() };
};

export const collect = (text: string, before: readonly string[] = []): readonly string[] => [...before, text];

/** "TK-2031-0117: issued 2031-03-05, replaced by TK-2031-0117-A1". */
export const lifeLine = (life: CertificateLife): string => {
  const parts: string[] = [life.issued === undefined ? life.state : `issued ${life.issued.day}`];
  const replaces = life.drafted.replaces;
  if (replaces !== undefined) parts.push(`${replaces.kind === "amended" ? "amends" : "replaces"} ${replaces.number}`);
  if (life.replaced_by !== undefined) parts.push(`replaced by ${life.replaced_by}`);
  if (life.withdrawn !== undefined) parts.push(`withdrawn: ${life.withdrawn.reason}`);
  return `${life.number}: ${parts.join(", ")}`;
};

/** Says how a certificate stands after an act, or why the act was refused; gives the exit code. */
export const sayLife = (streams: Streams, result: Result<CertificateLife, Fault>): number => {
  if (!result.ok) return sayFault(streams, result.fault);
  say(streams.out, lifeLine(result.value));
  return EXIT.success;
};
