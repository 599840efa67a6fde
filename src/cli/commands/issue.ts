import { folderStore } from "../../app/certificate-store.ts";
import { type DccSchema, readDccSchema } from "../../app/dcc-schema.ts";
import { issueCertificate } from "../../app/issue-certificate.ts";
import { fingerprint, readSigningKey, type SigningKey } from "../../app/sign-certificate.ts";
import { type PdfSigner, readPdfSigner } from "../../app/sign-pdf.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { ok, type Result } from "../../vocabulary/result.ts";
import { addStore, sayLife } from "../certificate-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly key?: string;
  readonly p12?: string;
  readonly schemas?: string;
  readonly store: string;
}

/** Makes the one final document and keeps it; it is never made again and never written over. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<number>", "number of the certificate")
    .option("--key <file>", "key that signs the data file and the head of the record (see make-key)")
    .option("--p12 <file>", "certificate file (PKCS #12) of the laboratory that signs the PDF")
    .option(
      "--schemas <folder>",
      "folder with the DCC schema (dcc.xsd 3.3.0); a data file that breaks it is not issued",
    )
    .addHelpText("after", "\nPasswords are taken from STILLPOINT_KEY_PASSWORD and STILLPOINT_P12_PASSWORD.\n")
    .action(async (number: string, options: Options) => {
      const schema: Result<DccSchema | undefined, Fault> =
        options.schemas === undefined ? ok(undefined) : readDccSchema(options.schemas);
      if (!schema.ok) return finish(sayFault(streams, schema.fault));
      const key: Result<SigningKey | undefined, Fault> =
        options.key === undefined ? ok(undefined) : readSigningKey(options.key, process.env["STILLPOINT_KEY_PASSWORD"]);
      if (!key.ok) return finish(sayFault(streams, key.fault));
      const pdfSigner: Result<PdfSigner | undefined, Fault> =
        options.p12 === undefined
          ? ok(undefined)
          : readPdfSigner(options.p12, process.env["STILLPOINT_P12_PASSWORD"] ?? "");
      if (!pdfSigner.ok) return finish(sayFault(streams, pdfSigner.fault));
      const issued = await issueCertificate(folderStore(options.store), number, {
        now_ms: Date.now(),
        key: key.value,
        pdfSigner: pdfSigner.value,
        schema: schema.value,
      });
      if (issued.ok) {
        say(
          streams.talk,
          key.value === undefined
            ? "Without a key it is not signed; only this ledger can prove it."
            : `Signed with the key ${fingerprint(key.value.public_key)}.`,
        );
        say(streams.talk, `Take it out with: stillpoint reprint ${number}`);
      }
      finish(sayLife(streams, issued));
    });
};
