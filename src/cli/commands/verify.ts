import { X509Certificate } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { folderStore } from "../../app/certificate-store.ts";
import type { Finding, Proof } from "../../app/records/proof.ts";
import { proveRecords, recordsAt } from "../../app/records/prove.ts";
import { type Verification, verifyCertificate } from "../../app/verify-certificate.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import { collect } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly store?: string;
  readonly key?: readonly string[];
  readonly certificate?: readonly string[];
  readonly signer?: readonly string[];
  readonly json?: boolean;
}

const bytesOf = (path: string): Result<Uint8Array, Fault> => {
  try {
    return ok(readFileSync(path));
  } catch (error) {
    return err(
      fault(
        "refused",
        "bad-file",
        `${path} could not be read: ${error instanceof Error ? error.message : String(error)}.`,
      ),
    );
  }
};

/** The signature that lies beside a data file under the same name. */
const signatureBeside = (path: string): string | undefined => {
  const beside = path.replace(/\.(xml|pdf)$/i, ".signature.json");
  return beside !== path && existsSync(beside) ? readFileSync(beside, "utf8") : undefined;
};

/** A key as digits, or as the file that make-key wrote beside the secret one. */
const keyOf = (text: string): string => (existsSync(text) ? readFileSync(text, "utf8") : text).trim().toLowerCase();

/** SHA-256 of a certificate, from the digits with or without colons, or from the certificate itself. */
const signerOf = (text: string): string => {
  if (existsSync(text)) {
    try {
      return new X509Certificate(readFileSync(text)).fingerprint256.replaceAll(":", "").toLowerCase();
    } catch {
      return text;
    }
  }
  return text.replaceAll(/[:\s]/g, "").toLowerCase();
};

const exitOf = ({ content, standing }: Verification): number => {
  if (content === "changed") return EXIT.recordDamaged;
  if (content !== "whole") return EXIT.failed;
  return standing === "valid" || standing === "unknown" ? EXIT.success : EXIT.outOfTolerance;
};

const STRANGE: readonly Finding["kind"][] = ["unknown-key"];

/** Damage weighs more than a key that nobody vouches for. */
const exitOfProof = ({ findings, superseded = [] }: Proof): number =>
  findings.length === 0
    ? superseded.length === 0
      ? EXIT.success
      : EXIT.outOfTolerance
    : findings.every(({ kind }) => STRANGE.includes(kind))
      ? EXIT.failed
      : EXIT.recordDamaged;

const proofLines = ({ place, runs, events, findings, superseded = [], notes }: Proof): readonly string[] => [
  findings.length === 0
    ? `WHOLE: ${place}, ${runs} run${runs === 1 ? "" : "s"}, ${events} events.`
    : `NOT AS IT WAS WRITTEN: ${place}, ${findings.length} finding${findings.length === 1 ? "" : "s"}.`,
  ...findings.map(({ kind, text }) => `  ${kind}: ${text}`),
  ...superseded,
  ...notes,
];

/** Looks at a file that somebody holds in hand. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<file>", "certificate (PDF or XML), records (*.sqlite), exported folder, or record (*.jsonl)")
    .option(
      "--certificate <file>",
      "of records: certificate, PDF or XML, that has to rest on them, figure by figure; may be repeated",
      collect,
    )
    .option("--store <folder>", "folder of certificates with the ledger, when it is at hand")
    .option("--key <digits|file>", "public key that you know to be the laboratory's; may be repeated", collect)
    .option(
      "--signer <digits|file>",
      "SHA-256, or the file (PEM), of the certificate that you know to sign the laboratory's pages; may be repeated",
      collect,
    )
    .option("--json", "print one JSON document")
    .addHelpText(
      "after",
      `
Exit codes: 0 whole; 1 nothing at hand proves it, or the key is unknown; 3 whole, but replaced or withdrawn; 6 changed.
Of records it tells apart: changed, cut, reordered, duplicated, unknown-key, replaced (whole in itself, but not what was
signed, certified or entered in the bench's chain), unreadable, figures-differ.
`,
    )
    .action(async (path: string, options: Options) => {
      const kind = existsSync(path) ? recordsAt(path) : null;
      if (kind !== null) {
        const proof = await proveRecords(path, kind, {
          keys: (options.key ?? []).map(keyOf),
          certificates: options.certificate ?? [],
        });
        if (!proof.ok) return finish(sayFault(streams, proof.fault));
        if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-proof 1", ...proof.value }, null, 2));
        else for (const line of proofLines(proof.value)) say(streams.out, line);
        return finish(exitOfProof(proof.value));
      }
      const bytes = bytesOf(path);
      if (!bytes.ok) return finish(sayFault(streams, bytes.fault));
      const { finding, ledgerFault } = verifyCertificate(bytes.value, {
        store: options.store === undefined ? undefined : folderStore(options.store),
        keys: (options.key ?? []).map(keyOf),
        signers: (options.signer ?? []).map(signerOf),
        signature: signatureBeside(path),
      });
      if (options.json) say(streams.out, JSON.stringify({ format: "stillpoint-verification 1", ...finding }, null, 2));
      else {
        say(
          streams.out,
          finding.number === null
            ? path
            : `Calibration certificate ${finding.number} of ${finding.laboratory ?? "an unnamed laboratory"}, dated ${finding.issue_date ?? "never"}`,
        );
        for (const sentence of finding.sentences) say(streams.out, sentence);
      }
      finish(ledgerFault === null ? exitOf(finding) : EXIT.recordDamaged);
    });
};
