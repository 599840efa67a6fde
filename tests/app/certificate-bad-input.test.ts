import { createHash } from "node:crypto";
import { existsSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { folderStore } from "../../src/app/certificate-store.ts";
import { certifyRecord } from "../../src/app/certify.ts";
import { draftCertificate } from "../../src/app/draft-certificate.ts";
import { approveCertificate, issueCertificate } from "../../src/app/issue-certificate.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import type { PdfSigner } from "../../src/app/sign-pdf.ts";
import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, type Result } from "../../src/vocabulary/result.ts";
import { asIfReal, practiceRecord } from "./certificate-job.ts";
import { must } from "./practice-job.ts";

const DAY = Date.UTC(2026, 10, 26, 8);
const place = mkdtempSync(join(tmpdir(), "bad-input-"));
afterAll(() => rmSync(place, { recursive: true, force: true }));

let real: string;
beforeAll(async () => {
  real = asIfReal(await practiceRecord());
});

type Role = "bench" | "unit" | "laboratory";
interface Start {
  event: { decision_rule: string; files: { role: Role; text: string; sha256: string }[] };
}

/** The record with its first line changed. */
const begun = (change: (start: Start) => void): string => {
  const lines = real.split("\n");
  const start = JSON.parse(lines[0] ?? "") as Start;
  change(start);
  return [JSON.stringify(start), ...lines.slice(1)].join("\n");
};

/** The record as if one of its files had been another from the beginning. */
const withFile = (role: Role, change: (text: string) => string): string =>
  begun(({ event }) => {
    for (const file of event.files.filter((f) => f.role === role)) {
      const text = change(file.text);
      if (text === file.text) throw new Error(`nothing changed in the ${role} file`);
      file.text = text;
      file.sha256 = createHash("sha256").update(text, "utf8").digest("hex");
    }
  });

const message = (result: Result<unknown, Fault>): string => (result.ok ? "" : result.fault.message);

/** Leads a record as far as it comes; gives what stopped it, and the documents that lie there afterwards. */
const led = async (
  record: string,
  pdfSigner?: PdfSigner,
): Promise<{ readonly said: string; readonly files: readonly string[] }> => {
  const folder = mkdtempSync(join(place, "store-"));
  const store = folderStore(folder);
  const step = async (): Promise<Result<unknown, Fault>> => {
    const draft = await draftCertificate(store, { record, number: "TK-1", language: "en", paper: "A4", now_ms: DAY });
    if (!draft.ok) return draft;
    const reviewed = await approveCertificate(store, "reviewed", "TK-1", { name: "B. Reviewer", role: "" }, DAY);
    if (!reviewed.ok) return reviewed;
    const authorised = await approveCertificate(store, "authorised", "TK-1", { name: "C. Head", role: "" }, DAY);
    return authorised.ok ? issueCertificate(store, "TK-1", { now_ms: DAY, pdfSigner }) : authorised;
  };
  const said = message(await step());
  const files = existsSync(join(folder, "files")) ? readdirSync(join(folder, "files")) : [];
  return { said, files: files.filter((name) => !name.startsWith("record-")) };
};

describe("bad input gives one clear message and no document", () => {
  it("is issued when nothing is wrong", async () => {
    expect(await led(real)).toEqual({ said: "", files: ["TK-1.pdf", "TK-1.xml"] });
  });

  it("the laboratory has no address", async () => {
    const { said, files } = await led(
      withFile("laboratory", (text) => text.replace(/^address:\n(?: {2}- .*\n)+/m, "")),
    );
    expect(said).toMatch(/address/);
    expect(files).toEqual([]);
  });

  it("R6: the customer has no address", async () => {
    const { said, files } = await led(withFile("unit", (text) => text.replace(/^ *customer_contact: .*\n/m, "")));
    expect(said).toMatch(/Still missing: the customer's address or contact\./);
    expect(files).toEqual([]);
  });

  it("R64: a reference was out of date on the day", async () => {
    const { said, files } = await led(
      withFile("bench", (text) => text.replaceAll(/due: \d{4}-\d\d-\d\d/g, "due: 2026-11-01")),
    );
    expect(said).toMatch(/Still missing: a certificate in date for the reference \S+, /);
    expect(files).toEqual([]);
  });

  it("R35: the run knows no decision rule", async () => {
    const { said, files } = await led(begun(({ event }) => Object.assign(event, { decision_rule: "" })));
    expect(said).toMatch(/decision rule/i);
    expect(files).toEqual([]);
  });

  it("R61: a U below the smallest claimable one is raised to it, and the page says so", async () => {
    const record = withFile(
      "laboratory",
      (text) =>
        `${text.trimEnd()}\nsmallest_uncertainties:\n  - { lower: 0 kPa, upper: 200 kPa, mode: gauge, U: 0.9 kPa }\n`,
    );
    const made = must(await certifyRecord(record, knownParts(), { language: "en", paper: "A4", issued_ms: DAY }));
    const points = made.model.results.as_found?.points ?? [];
    expect(points.map((p) => p.in_kPa.U)).toEqual(points.map(() => "0.90"));
    expect(JSON.stringify(made.model.sections)).toMatch(/U was raised to 0\.90.kPa/);
  });

  it("R86: the unit was renamed in the record after the run", async () => {
    const renamed = begun(({ event }) => {
      for (const file of event.files)
        if (file.role === "unit") file.text = file.text.replace("HC15-20431", "HC15-99999");
    });
    const { said, files } = await led(renamed);
    expect(said).toMatch(/The unit file in the record does not have the digest written beside it/);
    expect(files).toEqual([]);
  });

  it("the PDF cannot be signed", async () => {
    const refusing: PdfSigner = {
      sign: async () => err(fault("refused", "bad-file", "The password of laboratory.p12 is another.")),
    };
    expect(await led(real, refusing)).toEqual({ said: "The password of laboratory.p12 is another.", files: [] });
  });
});
