import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { readRecord } from "../../src/app/certify.ts";
import type { RunRecord } from "../../src/readings/run-record.ts";
import { faultText } from "../../src/vocabulary/fault.ts";
import { builtOnce } from "./build-once.ts";
import { type Ended, run, temporaryFolder } from "./program.ts";
import { isThere, itWith, output } from "./witness.ts";

/**
 * The whole job as a person starts it: simulated bench in another process, bytes over a pseudo-terminal or over TCP,
 * record and certificate on disk. poppler and qpdf look at the certificate.
 */
const FACTOR = "30";
const withPdftotext = itWith("pdftotext", isThere("pdftotext", ["-v"]));
const withQpdf = itWith("qpdf", isThere("qpdf"));

interface Papers {
  readonly record: string;
  readonly certificate: string;
}

const recordOf = (path: string): RunRecord => {
  const record = readRecord(readFileSync(path, "utf8"));
  if (!record.ok) throw new Error(faultText(record.fault));
  return record.value;
};

const textOf = (object: Record<string, unknown>, key: string): string => {
  const value = object[key];
  if (typeof value !== "string") throw new Error(`${key} is not text: ${JSON.stringify(object)}`);
  return value;
};

let overLine: Ended;
let overTcp: Ended;
let json: Record<string, unknown>;
let line: Papers;
let tcp: Papers;

beforeAll(async () => {
  await builtOnce();
  const demo = ["demo", "--factor", FACTOR, "--output"];
  [overLine, overTcp] = await Promise.all([
    run([...demo, temporaryFolder(), "--json"]),
    run([...demo, temporaryFolder(), "--tcp"]),
  ]);
  json = JSON.parse(overLine.out) as Record<string, unknown>;
  line = { record: textOf(json, "record"), certificate: textOf(json, "certificate") };
  const [, record = "", certificate = ""] =
    /^Record: (.+)\nCertificate: SIMULATED, a specimen only: (.+)\n$/u.exec(overTcp.out) ?? [];
  tcp = { record, certificate };
}, 150_000);

describe("over a serial line", () => {
  it("ends well, and standard output holds one JSON document and nothing else", () => {
    expect(overLine.talk).toMatch(/line-1 is \/dev\/(pts\/\d+|ttys\d+)/u);
    expect(overLine.code).toBe(0);
    expect(overLine.out.trimEnd().split("\n")).toHaveLength(1);
    expect(json).toMatchObject({ simulated: true, ending: "finished" });
    expect(json).toMatchObject({ as_found: "fail", as_left: "pass", verdict: "pass" });
  });
});

describe("over TCP", () => {
  it("ends well, and standard output says only where record and certificate are", () => {
    expect(overTcp.talk).toMatch(/gateway is 127\.0\.0\.1:\d+/u);
    expect(overTcp.code).toBe(0);
    expect(tcp.record).not.toBe("");
  });
});

describe("both ways", () => {
  it("come to the same verdicts", () => {
    const verdicts = ({ talk }: Ended): readonly string[] =>
      [...talk.matchAll(/^(As found|As left): ([A-Z ]+),/gmu)].map(([, stage, word]) => `${stage} ${word}`);
    expect(verdicts(overLine)).toEqual(["As found FAIL", "As left PASS"]);
    expect(verdicts(overTcp)).toEqual(verdicts(overLine));
  });

  it("talk on standard error, marked, without a single escape code", () => {
    for (const { talk, out } of [overLine, overTcp]) {
      expect(talk).toMatch(/^SIMULATED\. /mu);
      expect(talk).toMatch(/Compressed air injures/u);
      expect(talk).toMatch(/point 9\/9 falling 0 %/u);
      expect(`${talk}${out}`).not.toContain("\u001B");
    }
  });

  it("leave a record that reads back whole: simulated for ever, nine points twice, source safe", () => {
    for (const { record } of [line, tcp]) {
      const found = recordOf(record);
      expect(found.simulated).toBe(true);
      expect(found.header).toMatchObject({ clock: "accelerated", clock_factor: Number(FACTOR) });
      expect(found.stages.map((s) => [s.stage, s.points.length, s.missing.length])).toEqual([
        ["as-found", 9, 0],
        ["as-left", 9, 0],
      ]);
      expect(found.source_left.at(-1)).toMatchObject({ outcome: "safe" });
      expect(found.source_left.at(-1)?.current_mA).toBeCloseTo(4, 2);
      expect(found.ending?.ending).toBe("finished");
    }
  });

  it("name the certificate SIMULATED", () => {
    for (const { certificate } of [line, tcp]) expect(basename(certificate)).toMatch(/^SIMULATED-.+\.pdf$/u);
  });

  withPdftotext("say SIMULATED on every page", async () => {
    for (const { certificate } of [line, tcp]) {
      const pages = (await output("pdftotext", ["-layout", certificate, "-"])).split("\f").slice(0, -1);
      expect(pages.length).toBeGreaterThanOrEqual(2);
      for (const page of pages) expect(page).toContain("SIMULATED");
      expect(pages.join("")).toContain("HC15-20431");
    }
  });

  withQpdf("make a PDF in which qpdf finds no fault", async () => {
    for (const { certificate } of [line, tcp]) {
      expect(await output("qpdf", ["--check", certificate])).toMatch(/No syntax or stream encoding errors found/u);
    }
  });
});
