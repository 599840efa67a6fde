import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import { dataInside } from "../../src/app/certify.ts";
import { type PdfSigner, readPdfSigner } from "../../src/app/sign-pdf.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { renderPdf } from "../../src/certificate/render-pdf.ts";
import { missingOfArchiveList } from "../certificate/archive-list.ts";
import { sampleFonts } from "../certificate/sample-fonts.ts";
import { sampleInput } from "../certificate/sample-input.ts";
import { describeWith, made, run } from "../certificate/witness.ts";
import { must } from "./practice-job.ts";

const AT = Date.UTC(2031, 2, 5, 9);

describeWith(["openssl", "pdfsig", "qpdf", "pdfdetach"], "a signed PDF as others read it", () => {
  const place = mkdtempSync(join(tmpdir(), "signing-"));
  const p12 = join(place, "laboratory.p12");
  let signer: PdfSigner;
  let drawn: Uint8Array;
  let signed: Buffer;
  afterAll(() => rmSync(place, { recursive: true, force: true }));

  beforeAll(async () => {
    const key = join(place, "key.pem");
    const certificate = join(place, "certificate.pem");
    const subject = "/CN=Valve Workshop, Three Kettles Brewery";
    const quiet = { stdio: "pipe" } as const;
    execFileSync(
      "openssl",
      [
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "3650",
        "-subj",
        subject,
        "-keyout",
        key,
        "-out",
        certificate,
      ],
      quiet,
    );
    execFileSync(
      "openssl",
      ["pkcs12", "-export", "-inkey", key, "-in", certificate, "-passout", "pass:secret", "-out", p12],
      quiet,
    );
    signer = must(readPdfSigner(p12, "secret"));
    const input = sampleInput({ simulated: false });
    const model = certificateModel(input);
    drawn = must(
      await renderPdf(model, {
        paper: "A4",
        fonts: sampleFonts,
        createdAt: new Date(AT),
        attachments: dataInside({ model, dcc: dccText(input) }),
        signature: { name: "C. Head", reason: "Calibration certificate", place: "Millbridge", at: new Date(AT) },
      }),
    );
    signed = Buffer.from(must(await signer.sign(drawn, AT)));
  });

  it("R111: the signature is valid and covers the whole file, with the data file inside", () => {
    const said = run("pdfsig", ["-nocert", "{}"], signed);
    expect(said).toMatch(/Signature is Valid/);
    expect(said).toMatch(/Total document signed/);
    expect(said).toMatch(/Valve Workshop/);
    expect(run("qpdf", ["--check", "{}"], signed)).toContain("No syntax or stream encoding errors found");
    const data = made("pdfdetach", ["-save", "1", "-o", "{out}", "{}"], signed);
    expect(Buffer.from(data).toString("utf8")).toBe(dccText(sampleInput({ simulated: false })));
  });

  it("R111: one changed byte, anywhere, is noticed", () => {
    for (const share of [0.1, 0.5, 0.97]) {
      const spoilt = Buffer.from(signed);
      const i = Math.floor(share * spoilt.length);
      spoilt[i] = (spoilt[i] ?? 0) ^ 1;
      let said: string;
      try {
        said = run("pdfsig", ["-nocert", "{}"], spoilt);
      } catch {
        continue;
      }
      expect(said, String(share)).not.toMatch(/Signature is Valid[\s\S]*Total document signed/);
    }
  });

  it("R112: calls itself a plain CMS signature and claims no PAdES level", () => {
    expect(run("pdfsig", ["-nocert", "{}"], signed)).toMatch(/Signature Type: adbe\.pkcs7\.detached/);
    expect(signed.toString("latin1")).not.toMatch(/ETSI\.CAdES/);
  });

  it("R105: the field takes nothing away from the part of the archive format that is looked up", () => {
    expect(missingOfArchiveList(signed)).toEqual([]);
  });

  it("a wrong password, no file and a file that is none are refused in one sentence", async () => {
    const wrong = await must(readPdfSigner(p12, "another")).sign(drawn, AT);
    expect(wrong.ok ? "" : wrong.fault.message).toMatch(/The password of .* is another/);
    expect(readPdfSigner(join(place, "nowhere.p12"), "")).toMatchObject({ ok: false, fault: { code: "bad-file" } });
    const nothing = await must(readPdfSigner(join(place, "key.pem"), "")).sign(drawn, AT);
    expect(nothing.ok ? "" : nothing.fault.message).toMatch(/could not be signed/);
  });
});
