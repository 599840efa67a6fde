import { readFileSync } from "node:fs";
import { SignPdf } from "@signpdf/signpdf";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import { CmsSigner } from "./cms-signer.ts";

export interface PdfSigner {
  /** Fills the room that was left for it; nothing may be added to the file afterwards. */
  sign(pdf: Uint8Array, at_ms: number): Promise<Result<Uint8Array, Fault>>;
}

const refused = (message: string): Result<never, Fault> =>
  err(
    fault("refused", "bad-file", message, {
      means: "Nothing was signed and nothing was issued.",
      remedy: "Give the laboratory's certificate file (PKCS #12) and its password in STILLPOINT_P12_PASSWORD.",
    }),
  );

const words = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** The laboratory's own certificate file; whether a reader trusts it is the reader's affair. */
export const readPdfSigner = (path: string, password: string): Result<PdfSigner, Fault> => {
  let p12: Buffer;
  try {
    p12 = readFileSync(path);
  } catch (error) {
    return refused(`${path} could not be read: ${words(error)}.`);
  }
  const signer = new CmsSigner(p12, password);
  return ok({
    sign: async (pdf, at_ms) => {
      try {
        return ok(await new SignPdf().sign(Buffer.from(pdf), signer, new Date(at_ms)));
      } catch (error) {
        return refused(
          /password|mac could not/i.test(words(error))
            ? `The password of ${path} is another.`
            : `The PDF could not be signed with ${path}: ${words(error)}.`,
        );
      }
    },
  });
};
