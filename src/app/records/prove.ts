import { readFileSync, statSync } from "node:fs";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { knownParts } from "../known-parts.ts";
import { type CertificateClaim, certificateClaim, proveFigures } from "./certificate-claim.ts";
import { type Finding, finding, type Proof } from "./proof.ts";
import { isExport, proveExport, proveRecord } from "./prove-export.ts";
import { proveStore } from "./prove-store.ts";
import { ACT_ROW, safeRows } from "./safe-rows.ts";
import { openSqlite, type SqliteFile } from "./sqlite-file.ts";
import type { CertificateActsTable } from "./tables.ts";

export type RecordsKind = "store" | "export" | "record";

/** What lies at a path, judged by what it holds; null when it is no record. */
export const recordsAt = (path: string): RecordsKind | null => {
  if (statSync(path).isDirectory()) return isExport(path) ? "export" : null;
  if (/\.sqlite$/u.test(path)) return "store";
  const beginning = readFileSync(path).subarray(0, 4096).toString("utf8");
  if (beginning.startsWith("SQLite format 3")) return "store";
  return /\.jsonl$/u.test(path) || /^\{"at_s":.*"kind":"run-started"/u.test(beginning) ? "record" : null;
};

/** Text of one run, from wherever it lies; null when it is not there. */
const recordText = (path: string, kind: RecordsKind, run_id: string): string | null => {
  if (kind === "record") return readFileSync(path, "utf8");
  try {
    if (kind === "export") return readFileSync(`${path}/runs/${run_id}.record.jsonl`, "utf8");
    const file: SqliteFile = openSqlite(path, "read");
    try {
      const rows = file.prepare("select body from events where run_id = ? order by seq").all(run_id);
      return rows.length === 0 ? null : rows.map((row) => `${(row as { readonly body: string }).body}\n`).join("");
    } finally {
      file.close();
    }
  } catch {
    // What cannot be read is told by the proof itself.
    return null;
  }
};

const claimsOf = (paths: readonly string[]): Result<readonly CertificateClaim[], Fault> => {
  const claims: CertificateClaim[] = [];
  for (const path of paths) {
    let bytes: Uint8Array;
    try {
      bytes = readFileSync(path);
    } catch (error) {
      const text = error instanceof Error ? error.message : String(error);
      return err(fault("refused", "bad-file", `The certificate ${path} could not be read: ${text}.`));
    }
    const claim = certificateClaim(path, bytes);
    if (!claim.ok) return claim;
    claims.push(claim.value);
  }
  return ok(claims);
};

/** What the acts in a store say became of certificates that are asked about. */
const supersededIn = (path: string, kind: RecordsKind, claims: readonly CertificateClaim[]): readonly string[] => {
  if (kind !== "store" || claims.length === 0) return [];
  let file: SqliteFile | null = null;
  try {
    file = openSqlite(path, "read");
    const rows = safeRows<CertificateActsTable>(file, "certificate_acts", ACT_ROW, "order by certificates_id, seq");
    const acts = rows.map(({ act, number, utc, body }) => {
      const { entry } = JSON.parse(body) as { readonly entry: { readonly replaces?: unknown } };
      return { act, number, utc, replaces: entry.replaces };
    });
    return claims.flatMap(({ number }) =>
      acts.flatMap((act) =>
        act.act === "issued" && act.replaces === number
          ? [`Certificate ${number} is right, but was REPLACED BY ${act.number} on ${act.utc.slice(0, 10)}.`]
          : act.act === "withdrawn" && act.number === number
            ? [`Certificate ${number} was WITHDRAWN on ${act.utc.slice(0, 10)}.`]
            : [],
      ),
    );
  } catch {
    // What cannot be read is told by the proof itself.
    return [];
  } finally {
    file?.close();
  }
};

const strangerKeys = (claims: readonly CertificateClaim[], keys: readonly string[]): readonly Finding[] =>
  claims.flatMap(({ number, signed_by }) =>
    signed_by === null || keys.length === 0 || keys.includes(signed_by)
      ? []
      : [
          finding(
            "unknown-key",
            `certificate ${number}`,
            `UNKNOWN KEY: certificate ${number} is signed with ${signed_by}, which is not a key that you named.`,
          ),
        ],
  );

/**
 * Proves a store, an export or a single record; where certificates are named, also that they rest on it, and that their
 * figures follow from its readings digit by digit.
 */
export const proveRecords = async (
  path: string,
  kind: RecordsKind,
  options: { readonly keys: readonly string[]; readonly certificates: readonly string[] },
): Promise<Result<Proof, Fault>> => {
  const claims = claimsOf(options.certificates);
  if (!claims.ok) return claims;
  const { keys } = options;
  const heads = claims.value.map(({ run_id, head, number }) => ({ run_id, head, by: `certificate ${number}` }));
  const proof =
    kind === "store"
      ? await proveStore(path, { keys, heads })
      : kind === "export"
        ? proveExport(path, { keys, heads })
        : proveRecord(path, readFileSync(path, "utf8"), { keys, heads });
  const figures: Finding[] = [];
  const notes: string[] = [];
  for (const claim of claims.value) {
    const text = recordText(path, kind, claim.run_id);
    const wrong = text === null ? [] : await proveFigures(claim, text, knownParts());
    figures.push(...wrong);
    if (text !== null && wrong.length === 0) {
      notes.push(
        `The figures of certificate ${claim.number} follow from the readings of run ${claim.run_id}, digit by digit.`,
      );
    }
  }
  return ok({
    ...proof,
    findings: [...proof.findings, ...strangerKeys(claims.value, keys), ...figures],
    superseded: supersededIn(path, kind, claims.value),
    notes: [...notes, ...proof.notes],
  });
};
