import { describe, expect, it } from "vitest";
import type { CertificateInput } from "../../src/certificate/certificate-input.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { dccText } from "../../src/certificate/dcc/dcc-text.ts";
import { parseLaboratoryFile } from "../../src/config/laboratory-file.ts";
import { sampleInput } from "./sample-input.ts";

const textsIn = (value: unknown): string[] => {
  if (typeof value === "string") return [value];
  if (Array.isArray(value)) return value.flatMap(textsIn);
  return typeof value === "object" && value !== null ? Object.values(value).flatMap(textsIn) : [];
};
const said = (input: CertificateInput, id: string): string =>
  textsIn(certificateModel(input).sections.find((s) => s.id === id)).join("\n");

const input = sampleInput({ simulated: false, unit: "kPa" });

/** The laboratory of the sample with a scope of its own. */
const withScope = (lower: string, upper: string, U: string): CertificateInput => {
  const text = `format: stillpoint-laboratory 1
name: Valve Workshop
address: [12 Cooper's Lane]
contact: valve.workshop@three-kettles.example
time_zone: UTC
method: { id: VW-07, revision: "3" }
smallest_uncertainties:
  - { lower: ${lower}, upper: ${upper}, mode: gauge, U: ${U} }
`;
  const parsed = parseLaboratoryFile(text, "laboratory.yaml");
  if (!parsed.ok) throw new Error(parsed.fault[0]?.message);
  const { smallest_uncertainties } = parsed.value;
  return { ...input, laboratory: { ...input.laboratory, smallest_uncertainties } };
};

/** Ordinals marked at the value of U in the last table of results. */
const marked = (of: CertificateInput): readonly number[] => {
  const section = certificateModel(of).sections.find((s) => s.id === "results-as-left");
  const table = section?.blocks.find((b) => b.kind === "table");
  if (table?.kind !== "table") throw new Error("no table");
  return table.rows.filter((r) => r.cells.some((c) => c.endsWith("‡"))).map((r) => Number(r.cells[0]));
};

describe("scope", () => {
  it("R69: points outside the scope are marked at the value, and a note says what the mark means", () => {
    const half = withScope("20 kPa", "65 kPa", "0.001 kPa");
    const points = input.asLeft?.analysis.points ?? [];
    const beyond = points.filter((p) => p.ideal_kPa < 20 || p.ideal_kPa > 65).map((p) => p.ordinal);
    expect(beyond.length).toBeGreaterThan(0);
    expect(beyond.length).toBeLessThan(points.length);
    expect(marked(half)).toEqual(beyond);
    expect(said(half, "results-as-left")).toMatch(/‡ Outside the laboratory's scope/);
  });

  it("R69: so is a U below the smallest that may be claimed; without a scope nothing is marked", () => {
    const all = (input.asLeft?.analysis.points ?? []).map((p) => p.ordinal);
    expect(marked(withScope("0 kPa", "200 kPa", "5 kPa"))).toEqual(all);
    expect(marked(withScope("0 kPa", "200 kPa", "0.001 kPa"))).toEqual([]);
    expect(marked(input)).toEqual([]);
    expect(said(input, "results-as-left")).not.toContain("‡");
  });
});

describe("routes of traceability", () => {
  it("R66: the route by which a reference may be relied on stands beside who calibrated it, on paper and as data", () => {
    const [first, ...rest] = input.references;
    if (first === undefined) throw new Error("no reference");
    const route = { ...first.certificate, route: "accredited-laboratory" as const };
    const stated = { ...input, references: [{ ...first, certificate: route }, ...rest] };
    expect(said(stated, "traceability")).toContain(`${first.certificate.laboratory}, accredited laboratory`);
    expect(dccText(stated)).toMatch(/accredited laboratory<\/dcc:content>/);
    expect(said(input, "traceability")).not.toMatch(/accredited|institute|competence/);
    expect(said({ ...stated, language: "de" }, "traceability")).toContain("akkreditiertes Labor");
  });
});

describe("opinions", () => {
  it("R47: stand apart from the results, are called opinions, and each carries its figures", () => {
    const item = { words: "The relay diaphragm leaks.", figures: "loss behind the closed valve 0.9 kPa in 60 s" };
    const opinions = { items: [item], not_looked_at: ["the nozzle"] };
    const model = certificateModel({ ...input, opinions });
    const plain = certificateModel(input);
    const section = model.sections.find((s) => s.id === "further-tests");
    expect(textsIn(section).join("\n")).toMatch(/Opinions and interpretations/);
    expect(textsIn(section).join("\n")).toContain(item.figures);
    const others = (of: typeof model) => of.sections.filter((s) => s.id !== "further-tests");
    expect(JSON.stringify(others(model))).toBe(JSON.stringify(others(plain)));
    expect(model.results).toEqual(plain.results);
  });
});
