import { describe, expect, it } from "vitest";
import type { CertificateInput } from "../../../src/certificate/certificate-input.ts";
import { certificateModel } from "../../../src/certificate/certificate-model.ts";
import { checkDcc } from "../../../src/certificate/dcc/check-dcc.ts";
import { dccText } from "../../../src/certificate/dcc/dcc-text.ts";
import { everyElement, readXml, textOf } from "../../../src/certificate/dcc/read-xml.ts";
import type { XmlElement } from "../../../src/certificate/dcc/xml-tree.ts";
import { type SampleOptions, sampleInput } from "../sample-input.ts";

const REAL = { simulated: false } as const;

const written = (input: CertificateInput): string => {
  const text = dccText(input);
  if (text === null) throw new Error("no document");
  return text;
};
const tree = (input: CertificateInput): XmlElement => {
  const read = readXml(written(input));
  if (!read.ok) throw new Error(read.fault.message);
  return read.value;
};
const all = (root: XmlElement, name: string): readonly XmlElement[] =>
  everyElement(root)
    .map((f) => f.element)
    .filter((e) => e.name === name);
const texts = (root: XmlElement, name: string): readonly string[] => all(root, name).map((e) => textOf(e).trim());
const quantity = (root: XmlElement, refType: string): readonly XmlElement[] =>
  all(root, "dcc:quantity").filter((q) => q.attributes["refType"] === refType);
const valuesOf = (q: XmlElement | undefined): readonly string[] =>
  q === undefined ? [] : (texts(q, "si:valueXMLList")[0] ?? "").split(" ");

const VARIANTS: readonly SampleOptions[] = [
  {},
  REAL,
  { ...REAL, story: "not-adjusted" },
  { ...REAL, story: "no-as-found" },
  { ...REAL, story: "no-as-left" },
  { ...REAL, unit: "kPa", language: "de", rule: { rule: "four-words", share_of_U: 1 } },
  { ...REAL, authorised: false, intervals: 11, cycles: 3, unsettled: [3, 4], longNames: true, troubles: 3 },
  { ...REAL, u_kPa: 2 },
];

describe("digital certificate", () => {
  it("R109: carries the very decimal texts that stand on paper, as found and as left", () => {
    const input = sampleInput(REAL);
    const root = tree(input);
    const { as_found, as_left } = certificateModel(input).results;
    for (const [refType, key] of [
      ["basic_referenceValue", "ideal"],
      ["basic_measuredValue", "output"],
      ["basic_measurementError", "error"],
      ["basic_acceptanceLimitUpper", "acceptance"],
    ] as const) {
      const [before, now] = quantity(root, refType);
      expect(valuesOf(before)).toEqual(as_found?.points.map((p) => p.in_kPa[key]));
      expect(valuesOf(now)).toEqual(as_left?.points.map((p) => p.in_kPa[key]));
      const psi = texts(now ?? root, "si:valueXMLList")[1]?.split(" ");
      expect(psi).toEqual(as_left?.points.map((p) => p.in_customer_unit?.[key]));
    }
    const error = quantity(root, "basic_measurementError")[1] ?? root;
    expect(texts(error, "si:valueExpandedMUXMLList")[0]?.split(" ")).toEqual(as_left?.points.map((p) => p.in_kPa.U));
    expect(texts(error, "si:coverageProbabilityXMLList")[0]).toBe("0.9545");
    expect(texts(error, "dcc:conformityXMLList")[0]?.split(" ")).toEqual(as_left?.points.map((p) => p.word));
  });

  it("R29: what was found before the adjustment is a condition of the result, marked as such", () => {
    const root = tree(sampleInput(REAL));
    expect(texts(root, "dcc:status")).toEqual(["beforeAdjustment"]);
    expect(all(root, "dcc:measurementResult")[0]?.attributes["id"]).toBe("as-left");
    const untouched = tree(sampleInput({ ...REAL, story: "not-adjusted" }));
    expect(texts(untouched, "dcc:status")).toEqual([]);
    expect(all(untouched, "dcc:measurementResult")[0]?.attributes["id"]).toBe("as-found");
  });

  it("R4: has the number of the paper; a draft and a specimen say in it what they are", () => {
    const number = (options: SampleOptions): string | undefined =>
      texts(tree(sampleInput(options)), "dcc:uniqueIdentifier")[0];
    expect(number(REAL)).toBe("TK-2031-0117");
    expect(number({ ...REAL, authorised: false })).toBe("DRAFT-TK-2031-0117");
    expect(number({})).toBe("SIMULATED-TK-2031-0117");
    expect(written(sampleInput({}))).toContain("They prove nothing.");
  });

  it("R79: the customer's unit stands beside the SI value, with its factor", () => {
    const root = tree(sampleInput(REAL));
    expect(new Set(texts(root, "dcc:nonSIUnit"))).toEqual(new Set(["psi"]));
    expect(texts(root, "dcc:nonSIDefinition")[0]).toBe("1 psi = 6.894757 kPa");
    expect(all(tree(sampleInput({ ...REAL, unit: "kPa" })), "si:hybrid")).toEqual([]);
  });

  it("R17: names who measured, reviewed and authorised, and one main signer", () => {
    const root = tree(sampleInput(REAL));
    const people = all(root, "dcc:respPerson").map((p) => [
      texts(p, "dcc:content")[0],
      texts(p, "dcc:role")[0],
      texts(p, "dcc:mainSigner")[0],
    ]);
    expect(people).toEqual([
      ["C. Head", "Authorised by: head of the workshop", "true"],
      ["B. Reviewer", "Reviewed by: technician", "false"],
      ["A. Technician", "Measured by: technician", "false"],
    ]);
  });

  it("R52: an amendment names what it replaces, by number and hash, with the reason", () => {
    const root = tree({
      ...sampleInput(REAL),
      number: "TK-2031-0117-A1",
      replaces: {
        kind: "amended",
        number: "TK-2031-0117",
        sha256: "ab".repeat(32),
        reason: "the customer has another name",
        changes: [{ what: "Customer", was: "Three Kettles Brewery", is: "Four Kettles Brewery" }],
      },
    });
    expect(texts(root, "dcc:typeOfChange")).toEqual(["amended"]);
    expect(texts(root, "dcc:replacedUniqueIdentifier")).toEqual(["TK-2031-0117"]);
    const previous = all(root, "dcc:previousReport")[0] ?? root;
    expect(texts(previous, "dcc:value")).toEqual(["ab".repeat(32)]);
    expect(textOf(previous)).toMatch(/another name[\s\S]*"Three Kettles Brewery" is now "Four Kettles Brewery"/);
  });

  it("has every instant in UTC, one for each reading", () => {
    const instants = texts(tree(sampleInput(REAL)), "dcc:dateTimeXMLList")[1]?.split(" ") ?? [];
    expect(instants).toHaveLength(10);
    for (const instant of instants) expect(instant).toMatch(/^2031-03-04T\d\d:\d\d:\d\d\.000Z$/);
  });

  it("without any result there is no document", () => {
    const { asFound: _, asLeft: __, ...input } = sampleInput(REAL);
    expect(dccText(input)).toBeNull();
  });

  it.each(VARIANTS)("passes our own checks: %j", (options) => {
    expect(checkDcc(written(sampleInput(options)))).toEqual([]);
  });

  it("without an uncertainty it is written, and our own checks refuse it", () => {
    const input = sampleInput({ ...REAL, story: "not-adjusted" });
    const { asFound } = input;
    if (asFound === undefined) throw new Error("no as found");
    const remarks = checkDcc(written({ ...input, asFound: { ...asFound, uncertainties: [] } }));
    expect(remarks.map((r) => r.text)).toContain("An error of measurement is given without an uncertainty.");
  });

  it("names of any script and any sign come back as they went in", () => {
    const input = sampleInput(REAL);
    for (const customer of ['A & B <Söhne> "x"', "مصنع الجعة", "啤酒厂 ]]>", "tab\tand line\nend", "bad\u0007sign"]) {
      const identity = { ...input.unit.identity, customer };
      const root = tree({ ...input, unit: { ...input.unit, identity } });
      const name = texts(all(root, "dcc:customer")[0] ?? root, "dcc:content")[0];
      expect(name).toBe(customer.replaceAll(/\s+/g, " ").replace("\u0007", "\uFFFD"));
    }
  });
});
