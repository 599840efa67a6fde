import { sign } from "node:crypto";
import { canonicalJson } from "../canonical-json.ts";
import { bytesSignedBy, type SigningKey } from "../sign-certificate.ts";
import type { SignaturesTable } from "./tables.ts";

/** What is signed when the head of a chain is signed: canonical JSON, Ed25519 (RFC 8032) over its UTF-8 bytes. */
const HEAD_FORMAT = "stillpoint-head 1";

/** The name under which the head of a bench's own chain is signed. */
export const ledgerName = (bench_id: string): string => `ledger:${bench_id}`;

type Signed = Pick<SignaturesTable, "run_id" | "head" | "utc">;

const bytesOf = ({ run_id, head, utc }: Signed): Buffer =>
  Buffer.from(canonicalJson({ format: HEAD_FORMAT, run_id, head, utc }), "utf8");

export const signHead = (of: Signed, { key, public_key }: SigningKey): SignaturesTable => ({
  ...of,
  public_key,
  signature: sign(null, bytesOf(of), key).toString("hex"),
});

/** Digits in lower case only: one signature has one text. */
const DIGITS = /^[0-9a-f]{64} [0-9a-f]{128}$/u;

export const headSignatureHolds = (row: SignaturesTable): boolean => {
  try {
    return (
      DIGITS.test(`${row.public_key} ${row.signature}`) && bytesSignedBy(bytesOf(row), row.public_key, row.signature)
    );
  } catch {
    return false;
  }
};
