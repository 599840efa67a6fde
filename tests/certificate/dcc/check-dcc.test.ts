import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import { readDccSchema, schemaComplaints } from "../../../src/app/dcc-schema.ts";
import { checkDcc } from "../../../src/certificate/dcc/check-dcc.ts";
import { dccText } from "../../../src/certificate/dcc/dcc-text.ts";
import { isDsiUnit } from "../../../src/certificate/dcc/dsi-unit.ts";
import { type SampleOptions, sampleInput } from "../sample-input.ts";
import { describeWith } from "../witness.ts";
import { describeWithSchemas } from "./schema-folder.ts";

it("units of the D-SI are told from words that look like them", () => {
  for (const unit of ["\\kilo\\pascal", "\\degreecelsius", "\\metre\\per\\second\\tothe{2}", "\\one", "\\milli\\bar"]) {
    expect(isDsiUnit(unit), unit).toBe(true);
  }
  for (const unit of ["kPa", "psi", "", "\\kilo", "\\kilo\\kilo\\pascal", "\\pascal\\per", "\\per\\second", "\\bar2"]) {
    expect(isDsiUnit(unit), unit).toBe(false);
  }
});

it("text that is no XML, other XML and a document type are refused with a reason", () => {
  expect(checkDcc("not XML")[0]?.text).toMatch(/cannot be read/);
  expect(checkDcc("<a/>")[0]?.text).toMatch(/not a digital calibration certificate/);
  expect(checkDcc('<!DOCTYPE a SYSTEM "file:///etc/hostname"><a/>')[0]?.text).toMatch(/document type/);
});

it("a number grouped with a blank in a list of its own is pointed out, and a list that is confirmed is not", () => {
  const remarksOn = (list: string): readonly string[] =>
    checkDcc(
      `<dcc:digitalCalibrationCertificate xmlns:dcc="https://ptb.de/dcc" xmlns:si="https://ptb.de/si">${list}</dcc:digitalCalibrationCertificate>`,
    )
      .map((r) => `${r.weight}: ${r.text}`)
      .filter((text) => text.includes("grouped"));
  const values = (text: string, more = ""): string =>
    `<dcc:quantity><si:realListXMLList><si:valueXMLList>${text}</si:valueXMLList><si:unitXMLList>\\kilo\\pascal</si:unitXMLList>${more}</si:realListXMLList></dcc:quantity>`;
  expect(remarksOn(values("998.5 1 034.2")).join()).toMatch(/"034.2" looks like a part/);
  expect(remarksOn(values("998.5 1 234.2"))).toEqual([
    'unusual: "1 234.2" may be one number that was grouped with a blank; nothing beside it tells.',
  ]);
  expect(remarksOn(values("0 100.5 200.5"))).toEqual([]);
  expect(remarksOn(values("1 10 100"))).toEqual([]);
  const U = "<si:valueExpandedMUXMLList>0.1 0.1 0.2</si:valueExpandedMUXMLList>";
  expect(remarksOn(values("998.5 1 234.2", U))).toEqual([]);
  expect(remarksOn(`<dcc:list>${values("998.5 1 234.2")}${values("1.0 2.0 3.0")}</dcc:list>`)).toEqual([]);
});

interface Edits {
  readonly edits: readonly {
    readonly id: string;
    readonly what: string;
    readonly replace: string;
    readonly by: string;
    readonly schema_accepts: boolean;
  }[];
}

/** Edits that leave a legal document: nothing may be said against them. */
const LEGAL = ["exponent", "deprecated-unc"];

describeWithSchemas("the open schema of digital certificates", (folder) => {
  const schema = readDccSchema(folder);
  if (!schema.ok) throw new Error(schema.fault.message);
  const minimal = readFileSync(join(folder, "minimal.xml"), "utf8");
  const { edits } = JSON.parse(readFileSync(join(folder, "mutations.json"), "utf8")) as Edits;
  const usual = checkDcc(minimal).map((r) => r.text);

  it("R110: accepts what is written, in every variant", async () => {
    const variants: readonly SampleOptions[] = [
      {},
      { simulated: false },
      { simulated: false, authorised: false, language: "de", unit: "kPa", rule: { rule: "four-words", share_of_U: 1 } },
      { simulated: false, longNames: true, intervals: 11, cycles: 3, unsettled: [3], story: "no-as-left", troubles: 9 },
    ];
    const replaces = { kind: "substituted", number: "X", sha256: "00", reason: "new readings", changes: [] } as const;
    const inputs = [
      ...variants.map((options) => sampleInput(options)),
      { ...sampleInput({ simulated: false }), replaces, site: "Cellar, Millbridge" },
    ];
    const complaints = await schemaComplaints(
      schema.value,
      inputs.map((input) => dccText(input) ?? ""),
    );
    expect(complaints).toEqual(inputs.map(() => []));
  });

  it("reads the published examples without calling them wrong", () => {
    for (const name of ["own-pressure-transducer.v3.3.0.xml", "ptb-capacitance-diaphragm-gauge.v3.1.1.xml"]) {
      const wrong = checkDcc(readFileSync(join(folder, "examples", name), "utf8")).filter((r) => r.weight === "wrong");
      expect(wrong, name).toEqual([]);
    }
  });

  it("R110: knows 32 edits of a good document", () => {
    expect(edits).toHaveLength(32);
    expect(checkDcc(minimal).filter((r) => r.weight === "wrong")).toEqual([]);
  });

  const edited = (edit: Edits["edits"][number]): string => minimal.replace(edit.replace, () => edit.by);
  let complaints: readonly (readonly string[])[] = [];
  beforeAll(async () => {
    complaints = await schemaComplaints(schema.value, edits.map(edited));
  });

  it.each(edits.map((edit, i) => ({ ...edit, i })))("R110: $id, $what", (edit) => {
    expect(minimal.split(edit.replace)).toHaveLength(2);
    expect(complaints[edit.i]?.length === 0).toBe(edit.schema_accepts);
    const own = checkDcc(edited(edit)).filter((r) => !usual.includes(r.text));
    if (!edit.schema_accepts) return;
    if (LEGAL.includes(edit.id)) expect(own).toEqual([]);
    else expect(own.length).toBeGreaterThan(0);
  });

  it("a folder without the schema, or without one that it imports, is refused by name", () => {
    const empty = mkdtempSync(join(tmpdir(), "schemas-"));
    try {
      expect(readDccSchema(empty)).toMatchObject({ ok: false, fault: { code: "bad-file" } });
      writeFileSync(join(empty, "dcc.xsd"), readFileSync(join(folder, "dcc.xsd")));
      const half = readDccSchema(empty);
      expect(half.ok ? "" : half.fault.message).toContain("SI_Format.xsd");
    } finally {
      rmSync(empty, { recursive: true, force: true });
    }
  });

  describeWith(["xmllint"], "a second validator", () => {
    let place: string;
    beforeAll(() => {
      place = mkdtempSync(join(tmpdir(), "dcc-"));
    });
    afterAll(() => rmSync(place, { recursive: true, force: true }));

    it("R110: agrees that what is written follows the schema", () => {
      expect(existsSync(join(folder, "catalog.xml"))).toBe(true);
      const file = join(place, "certificate.xml");
      writeFileSync(file, dccText(sampleInput({ simulated: false })) ?? "");
      execFileSync("xmllint", ["--nonet", "--noout", "--schema", join(folder, "dcc.xsd"), file], {
        env: { ...process.env, XML_CATALOG_FILES: join(folder, "catalog.xml") },
        stdio: "pipe",
      });
    });
  });
});
