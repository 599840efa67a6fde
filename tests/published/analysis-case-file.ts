import { readFileSync } from "node:fs";

/** A published case: where it comes from, how sure that is, what goes in and what has to come out. */
export interface PublishedCase<I, E, T> {
  readonly id: string;
  readonly source: {
    readonly title: string;
    readonly number: string;
    readonly clause: string;
    readonly address: string;
  };
  readonly status: "confirmed" | "from-memory";
  readonly inputs: I;
  readonly expected: E;
  readonly tolerance: T;
  /** Begins with [published], [published, with derived digits or parts], [inputs or formula published, result derived here]. */
  readonly note: string;
}

export const casesOf = (file: string): readonly PublishedCase<unknown, unknown, unknown>[] =>
  JSON.parse(
    readFileSync(new URL(`../../src/app/self-test/cases/${file}`, import.meta.url), "utf8"),
  ) as readonly PublishedCase<unknown, unknown, unknown>[];

export const caseOf = <I, E, T = { readonly abs: number }>(file: string, id: string): PublishedCase<I, E, T> => {
  const found = casesOf(file).find((c) => c.id === id);
  if (found === undefined) throw new Error(`no case ${id} in ${file}`);
  return found as PublishedCase<I, E, T>;
};

/** Absolute distance, for tolerances that are printed as such. */
export const off = (computed: number, expected: number | undefined): number =>
  Math.abs(computed - (expected ?? Number.NaN));
