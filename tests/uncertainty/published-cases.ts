import { readFileSync } from "node:fs";

/** A published case: where it comes from, what goes in, what has to come out and how closely. */
export interface PublishedCase {
  readonly id: string;
  readonly source: string;
  readonly status: "confirmed" | "from-memory";
  readonly computed_here: boolean;
  // biome-ignore lint/suspicious/noExplicitAny: figures of many shapes, read by the test that knows them.
  readonly inputs: Readonly<Record<string, any>>;
  // biome-ignore lint/suspicious/noExplicitAny: as above.
  readonly expected: Readonly<Record<string, any>>;
  readonly tolerance: Readonly<Record<string, { readonly abs?: number; readonly rel?: number }>>;
}

export const publishedCases = (file: string): ReadonlyMap<string, PublishedCase> => {
  const text = readFileSync(new URL(`../../src/app/self-test/cases/${file}.json`, import.meta.url), "utf8");
  const { cases } = JSON.parse(text) as { readonly cases: readonly PublishedCase[] };
  return new Map(cases.map((c) => [c.id, c]));
};

export const caseOf = (cases: ReadonlyMap<string, PublishedCase>, id: string): PublishedCase => {
  const found = cases.get(id);
  if (found === undefined) throw new Error(`no published case ${id}`);
  return found;
};

/** How far `got` may be from the expected `key` of a case, in tolerances: at most 1 passes. */
export const inTolerances = (c: PublishedCase, key: string, got: number, wanted: number = c.expected[key]): number => {
  const { abs, rel } = c.tolerance[key] ?? {};
  const allowed = abs ?? (rel === undefined ? Number.NaN : rel * Math.abs(wanted));
  const off = Math.abs(got - wanted);
  // The last bit of a printed decimal is not a disagreement.
  return off <= 1e-12 * Math.abs(wanted) ? 0 : off / allowed;
};
