import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { writeShortForms } from "../../src/app/certificate-short-forms.ts";
import { folderStore } from "../../src/app/certificate-store.ts";
import { type PreparedCertificate, prepareCertificate } from "../../src/app/certify.ts";
import { draftCertificate } from "../../src/app/draft-certificate.ts";
import { sha256 } from "../../src/app/hash-chain.ts";
import { approveCertificate, issueCertificate, issuedContent } from "../../src/app/issue-certificate.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { describeWith, run } from "../certificate/witness.ts";
import { asIfReal, practiceRecord } from "./certificate-job.ts";
import { must } from "./practice-job.ts";

const DAY = Date.UTC(2026, 10, 26, 8);
const place = mkdtempSync(join(tmpdir(), "short-forms-"));
afterAll(() => rmSync(place, { recursive: true, force: true }));

let specimen: PreparedCertificate;
let issued: PreparedCertificate;
const read = (name: string): Buffer => readFileSync(join(place, "out", name));

beforeAll(async () => {
  const record = await practiceRecord();
  specimen = must(
    await prepareCertificate(record, knownParts(), { number: "S-1", language: "en", paper: "A4", issued_ms: DAY }),
  );
  const store = folderStore(join(place, "store"));
  must(
    await draftCertificate(store, {
      record: asIfReal(record),
      number: "TK-1",
      language: "en",
      paper: "A4",
      now_ms: DAY,
    }),
  );
  must(await approveCertificate(store, "reviewed", "TK-1", { name: "B. Reviewer", role: "" }, DAY));
  must(await approveCertificate(store, "authorised", "TK-1", { name: "C. Head", role: "" }, DAY));
  must(await issueCertificate(store, "TK-1", { now_ms: DAY }));
  issued = must(await issuedContent(store, "TK-1"));
  must(await writeShortForms(join(place, "out"), specimen, { paper: "A4", issued_ms: DAY }));
  must(await writeShortForms(join(place, "out"), issued, { paper: "A4", issued_ms: DAY }));
});

describe("forms beside the certificate", () => {
  it("R22: all carry the number of the full certificate behind them", () => {
    expect(
      readdirSync(join(place, "out"))
        .filter((n) => n.startsWith("TK-1"))
        .sort(),
    ).toEqual(["TK-1.label.pdf", "TK-1.label.png", "TK-1.report.pdf", "TK-1.results.csv", "TK-1.results.json"]);
    expect(readdirSync(join(place, "out")).filter((n) => n.startsWith("SIMULATED-S-1"))).toHaveLength(5);
  });

  it("R77, R109: results for machines are the decimal texts of the paper, with a point and no grouping", () => {
    const lines = read("TK-1.results.csv").toString("utf8").trimEnd().split("\r\n");
    const head = lines[0]?.split(",") ?? [];
    const points = [...(issued.model.results.as_found?.points ?? []), ...(issued.model.results.as_left?.points ?? [])];
    expect(lines).toHaveLength(points.length + 1);
    for (const [i, p] of points.entries()) {
      const cells = lines[i + 1]?.split(",") ?? [];
      const cell = (name: string): string | undefined => cells[head.indexOf(name)];
      expect([cell("error_kPa"), cell("U_kPa"), cell("output_kPa"), cell("verdict")]).toEqual([
        p.in_kPa.error,
        p.in_kPa.U,
        p.in_kPa.output,
        p.word,
      ]);
      expect(cell("status")).toBe("issued");
    }
    const json = JSON.parse(read("SIMULATED-S-1.results.json").toString("utf8")) as Record<string, unknown>;
    expect(json).toMatchObject({ format: "stillpoint-certificate-results 1", status: "specimen", simulated: true });
    expect(json["as_left"]).toEqual(JSON.parse(JSON.stringify(specimen.model.results.as_left)));
  });
});

describeWith(["pdftotext", "pdfinfo"], "the short forms as others read them", () => {
  it("R22: the report is one page and points to the full certificate", () => {
    const pdf = read("TK-1.report.pdf");
    expect(run("pdfinfo", ["{}"], pdf)).toMatch(/Pages:\s+1\n/);
    const text = run("pdftotext", ["-raw", "{}", "-"], pdf).replaceAll(/\s+/gu, " ");
    expect(text).toMatch(/Inspection report/);
    expect(text).toMatch(/stand in the full certificate no\. TK-1/);
    expect(text).toMatch(/C\. Head/);
  });

  it("R32: the label names number, serial and day, and no next date; a specimen says SIMULATED on it", () => {
    const text = run("pdftotext", ["-raw", "{}", "-"], read("TK-1.label.pdf"));
    expect(text).toMatch(/TK-1/);
    expect(text).toMatch(/HC15-20431/);
    expect(text).toMatch(/PASS/);
    expect(text).not.toMatch(/due|next|valid/i);
    const practice = run("pdftotext", ["-raw", "{}", "-"], read("SIMULATED-S-1.label.pdf"));
    expect(practice).toMatch(/SIMULATED/);
    expect(practice).not.toMatch(/PASS/);
    expect(run("pdfinfo", ["{}"], read("SIMULATED-S-1.report.pdf"))).toMatch(/Pages:\s+1\n/);
  });
});

describeWith(["zbarimg", "pdftoppm"], "the code of the label", () => {
  it("R102: gives the number and the digest of the data file, from the picture and from the printed label", () => {
    const wanted = `TK-1 SHA-256 ${sha256(issued.dcc ?? "")}`;
    expect(run("zbarimg", ["-q", "--raw", "{}"], read("TK-1.label.png")).trim()).toBe(wanted);
    const page = join(place, "label");
    run("pdftoppm", ["-png", "-r", "300", "-singlefile", "{}", page], read("TK-1.label.pdf"));
    expect(run("zbarimg", ["-q", "--raw", "{}"], readFileSync(`${page}.png`)).trim()).toBe(wanted);
  });
});
