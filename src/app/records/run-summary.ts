import { canonicalJson } from "../canonical-json.ts";
import { sha256 } from "../hash-chain.ts";
import type { ReferencesUsedTable, RunsTable } from "./tables.ts";

/** What is kept of a finished run besides its events; the store adds which bench, how many events, and the head. */
export interface RunSummary {
  readonly run: Omit<RunsTable, "bench_id" | "events" | "head">;
  readonly references: readonly Omit<ReferencesUsedTable, "run_id">[];
}

const byRole = (a: Omit<ReferencesUsedTable, "run_id">, b: Omit<ReferencesUsedTable, "run_id">): number =>
  `${a.role} ${a.serial_number}` < `${b.role} ${b.serial_number}` ? -1 : 1;

/** Digest that the bench's chain keeps of a row and its references. Columns that later versions add do not count. */
export const summaryDigest = (row: RunsTable, references: readonly Omit<ReferencesUsedTable, "run_id">[]): string =>
  sha256(
    canonicalJson({
      row,
      references: references
        .map(({ role, serial_number, certificate_number, due }) => ({ role, serial_number, certificate_number, due }))
        .toSorted(byRole),
    }),
  );
