import { readFileSync } from "node:fs";
import { shipped } from "../package-root.ts";
import { type Recorder, recordCase } from "./check.ts";

/**
 * Published cases as they come with the product. The tests read the same files. Sources, inputs, expected figures and
 * tolerances stand in them; what is from memory or was derived from published inputs says so.
 */
export const caseFile = (name: string): unknown =>
  JSON.parse(readFileSync(shipped("src", "app", "self-test", "cases", `${name}.json`), "utf8"));

interface Source {
  readonly title: string;
  readonly number: string;
  readonly clause: string;
}

interface Raw {
  readonly id: string;
  readonly source: string | Source;
  readonly status: string;
  readonly computed_here?: boolean;
  readonly note?: string;
  readonly inputs: unknown;
  readonly expected: unknown;
  readonly tolerance: unknown;
}

/** A case with the shapes that its reader knows, and a recorder for its checks. */
export interface Case<I, E, T> {
  readonly inputs: I;
  readonly expected: E;
  readonly tolerance: T;
  readonly record: Recorder;
}

/** Tolerances by figure, as the metrology files have them. */
export type Tolerances = Readonly<Record<string, { readonly abs?: number; readonly rel?: number }>>;

export const sourceText = (source: string | Source): string =>
  typeof source === "string" ? source : [source.title, source.number, source.clause].filter((s) => s !== "").join(", ");

const statusText = ({ status, computed_here, note }: Raw): string => {
  const sure = status === "from-memory" ? "from memory" : "read in the source";
  if (computed_here === true) return `${sure}; expected figures computed from its inputs`;
  const tag = /^\[([^\]]+)\]/u.exec(note ?? "")?.[1];
  return tag === undefined ? sure : `${sure}; ${tag}`;
};

/** Cases of one file by their identity. */
export const casesIn = (file: string, area: string) => {
  const text = caseFile(file);
  const list = (Array.isArray(text) ? text : (text as { readonly cases: unknown }).cases) as readonly Raw[];
  return <I, E, T = Tolerances>(id: string): Case<I, E, T> => {
    const raw = list.find((c) => c.id === id);
    if (raw === undefined) throw new Error(`no case ${id} in ${file}`);
    return {
      inputs: raw.inputs as I,
      expected: raw.expected as E,
      tolerance: raw.tolerance as T,
      record: recordCase({ area, id, source: sourceText(raw.source), status: statusText(raw) }),
    };
  };
};

/** Allowed distance of one figure: absolute, or a share of what is expected. */
export const allowed = (tolerance: Tolerances, key: string, expected: number): number => {
  const { abs, rel } = tolerance[key] ?? {};
  return abs ?? (rel === undefined ? Number.NaN : rel * Math.abs(expected));
};
