import type { ChainHead } from "../../ports/record-store.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import type { Result } from "../../vocabulary/result.ts";
import type { SigningKey } from "../sign-certificate.ts";
import type { RunSummary } from "./run-summary.ts";

/** What the thread of a store is asked, and what it answers. Orders are served one after another, in their order. */

/** Handed over when the thread is started. */
export interface ThreadTask {
  readonly path: string;
  readonly bench: string;
}

export type Call =
  | { readonly do: "begin"; readonly run_id: string; readonly station: string }
  | { readonly do: "resume"; readonly run_id: string }
  | { readonly do: "settle"; readonly run_id: string }
  | { readonly do: "finish"; readonly run_id: string; readonly summary: RunSummary | null; readonly key?: SigningKey }
  | { readonly do: "close" };

export type Append = { readonly do: "append"; readonly run_id: string; readonly body: string };

export type Order = Append | (Call & { readonly id: number });

export interface CallResults {
  /** Head of the bench's chain just before. */
  readonly begin: string;
  readonly resume: { readonly ledger: string; readonly bodies: readonly string[] };
  readonly settle: ChainHead;
  readonly finish: ChainHead;
  readonly close: null;
}

export type Told =
  | { readonly told: "opened"; readonly result: Result<{ readonly bench_id: string }, Fault> }
  | { readonly told: "kept"; readonly run_id: string; readonly upTo: ChainHead }
  | { readonly told: "trouble"; readonly run_id: string; readonly fault: Fault }
  | { readonly told: "answer"; readonly id: number; readonly result: Result<CallResults[keyof CallResults], Fault> };
