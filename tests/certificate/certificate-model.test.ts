import { describe, expect, it } from "vitest";
import type { Block, Column, PlacedSection } from "../../src/certificate/block.ts";
import { type CertificateModel, certificateModel } from "../../src/certificate/certificate-model.ts";
import { NO_BREAK_SPACE } from "../../src/certificate/print-number.ts";
import { type SampleOptions, sampleInput } from "./sample-input.ts";

const REAL = { simulated: false } as const;

const textsIn = (value: unknown): string[] => {
  if (typeof value === "string") return [value];
  if (Array.isArray(value)) return value.flatMap(textsIn);
  return typeof value === "object" && value !== null ? Object.values(value).flatMap(textsIn) : [];
};
/** Every text of the certificate, with plain spaces. */
const whole = (model: CertificateModel): string => textsIn(model).join("\n").replaceAll(NO_BREAK_SPACE, " ");
const section = (model: CertificateModel, id: string): PlacedSection => {
  const found = model.sections.find((s) => s.id === id);
  if (found === undefined) throw new Error(`no section ${id}`);
  return found;
};
const textOf = (model: CertificateModel, id: string): string =>
  textsIn(section(model, id)).join("\n").replaceAll(NO_BREAK_SPACE, " ");
type Table = Extract<Block, { kind: "table" }>;
const tables = (model: CertificateModel): readonly Table[] =>
  model.sections.flatMap((s) => s.blocks).filter((b): b is Table => b.kind === "table");
const sample = (options: SampleOptions = REAL): CertificateModel => certificateModel(sampleInput(options));

describe("what every certificate says", () => {
  it("R1: has a title that says what it is", () => {
    expect(sample().title).toBe("Calibration certificate");
    expect(sample({ ...REAL, language: "de" }).title).toBe("Kalibrierschein");
  });

  it("R2: names the laboratory with its address", () => {
    expect(textsIn(sample().laboratory).join(" ")).toMatch(/Valve Workshop.*12 Cooper's Lane, Millbridge/);
  });

  it("R3: says where the work was done", () => {
    expect(textOf(sample(), "item-and-work")).toContain("at the laboratory, address above");
    const away = certificateModel({ ...sampleInput(REAL), site: "Fermenting cellar, 3 Mill Road, Millbridge" });
    expect(textOf(away, "item-and-work")).toContain("Fermenting cellar, 3 Mill Road, Millbridge");
  });

  it("R4, R5: carries one number, and an end mark that repeats it", () => {
    const model = sample();
    expect(model.number).toBe("TK-2031-0117");
    expect(model.furniture.endMark).toContain(model.number);
    expect(model.furniture.pageOf).toMatch(/\{n\} of \{total\}/);
  });

  it("R6: names the customer with contact data, and is not issued without", () => {
    expect(textOf(sample(), "item-and-work")).toMatch(/Three Kettles Brewery, fermenting cellar[\s\S]*Cellar office/);
    const input = sampleInput(REAL);
    const { customer: _, ...identity } = input.unit.identity;
    const model = certificateModel({ ...input, unit: { ...input.unit, identity } });
    expect(model.status).toBe("draft");
    expect(model.missing).toContain("the customer");
  });

  it("R7: identifies the method with its revision", () => {
    expect(textOf(sample(), "item-and-work")).toContain("VW-07, revision 3");
  });

  it("R8, R80: describes the item without ambiguity, with what each pressure is measured against", () => {
    const text = textOf(sample(), "item-and-work");
    for (const part of [
      "Hopwell Instruments",
      "HC-15",
      "HC15-20431",
      "4 mA to 20 mA",
      "3 psi",
      "20.684 kPa",
      "15 psi",
      "gauge",
      "20 psi",
    ]) {
      expect(text).toContain(part);
    }
    for (const table of tables(sample())) {
      for (const column of table.columns) {
        if (["Ideal", "Output", "Target", "Before", "After"].includes(column.title))
          expect(column.unit).toMatch(/gauge/);
      }
    }
  });

  it("R9, R10: gives condition and receipt when they are stated", () => {
    expect(textOf(sample(), "item-and-work")).toMatch(/3 March 2031[\s\S]*no damage seen/);
  });

  it("R10: dates out of order keep it a draft", () => {
    const input = sampleInput(REAL);
    const model = certificateModel({ ...input, dates: { ...input.dates, issued: "2031-03-03" } });
    expect(model.missing.join()).toMatch(/dates in the order/);
  });

  it("R11: a run over midnight shows two days", () => {
    const input = sampleInput(REAL);
    const model = certificateModel({ ...input, dates: { ...input.dates, ended: "2031-03-05" } });
    expect(textOf(model, "item-and-work")).toContain("4 March 2031 to 5 March 2031");
  });

  it("R12: the day of issue stands apart from the day of the work", () => {
    expect(textOf(sample(), "item-and-work")).toMatch(/Calibrated\n4 March 2031\nIssued\n5 March 2031/);
  });

  it("R14, R19: concerns only this item, and asks not to be copied in part", () => {
    expect(textOf(sample(), "statements")).toMatch(/concern only the item[\s\S]*copy this document in part/);
  });

  it("R15: no column of a measured quantity is without a unit", () => {
    const unitless = (c: Column) => c.align === "decimal" && (c.unit === null || c.unit === "");
    for (const story of ["adjusted", "not-adjusted"] as const) {
      for (const table of tables(sample({ ...REAL, story }))) expect(table.columns.filter(unitless)).toEqual([]);
    }
  });

  it("R15: a column with its units row by row has them", () => {
    for (const table of tables(sample())) {
      for (const column of table.columns) {
        if (typeof column.unit !== "object" || column.unit === null) continue;
        const { inColumn } = column.unit;
        const at = table.columns.findIndex((c) => c.title === inColumn);
        for (const row of table.rows) expect(row.cells[at]).not.toBe("");
      }
    }
  });

  it("R16: skipped points, single cycles and overridden checks are listed by themselves", () => {
    const text = textOf(sample({ ...REAL, unsettled: [3] }), "deviations");
    expect(text).toMatch(/Single cycle/);
    expect(text).toMatch(/went on although the check "supply pressure" failed/);
    expect(text).toMatch(/point 3 .* gave no reading/);
    expect(textOf(sample({ ...REAL, unsettled: [3] }), "results-as-found")).toContain("No result at point 3");
  });

  it("R17: who measured and who authorised are two fields", () => {
    expect(textOf(sample(), "signatures")).toMatch(
      /Measured by\nA\. Technician[\s\S]*Authorised by\nC\. Head, head of/,
    );
  });

  it("R20: marks what the customer stated", () => {
    const facts = section(sample(), "item-and-work").blocks.flatMap((b) =>
      b.kind === "facts" ? b.groups.flatMap((g) => g.facts) : [],
    );
    expect(facts.filter((f) => f.statedByCustomer).map((f) => f.value)).toEqual(["PV-114"]);
  });

  it("R21: without an authorisation it is a draft with a provisional number, marked on every page", () => {
    const model = sample({ ...REAL, authorised: false });
    expect(model).toMatchObject({ status: "draft", number: "DRAFT-TK-2031-0117", mark: { word: "DRAFT" } });
    expect(model.missing).toEqual(["an authorisation"]);
  });

  it("R21, R91: nobody authorises whom the laboratory does not allow it", () => {
    const model = certificateModel({
      ...sampleInput(REAL),
      authorisation: { name: "A. Technician", role: "technician" },
    });
    expect(model.status).toBe("draft");
    expect(model.missing.join()).toMatch(/A\. Technician is not listed/);
  });
});

describe("results", () => {
  it("R25, R56: each point has its own U, never smaller than its own", () => {
    const input = sampleInput(REAL);
    const { as_found } = certificateModel(input).results;
    for (const p of as_found?.points ?? []) {
      const own = input.asFound?.uncertainties.find((u) => u.ordinal === p.ordinal)?.U_kPa ?? Number.NaN;
      expect(Number(p.in_kPa.U)).toBeGreaterThanOrEqual(0.95 * own);
    }
    expect(as_found?.points).toHaveLength(10);
  });

  it("R26: error and U are in one quantity, with the conversion shown", () => {
    expect(textOf(sample(), "statements")).toContain("ideal slope of 5.171 kPa/mA");
  });

  it("R27: conditions come from the record, and what nobody recorded is said to be so", () => {
    const text = textOf(sample(), "conditions");
    expect(text).toMatch(/Room temperature\n21\.\d\n21\.\d\n°C/);
    expect(text).toMatch(/Relative humidity\n–\n–\n%\nnot recorded/);
  });

  it("R28, R63, R67: every reference is named with serial number, certificate, who calibrated it and when", () => {
    const text = textOf(sample(), "traceability");
    for (const part of [
      "DG7-0092",
      "P-31-0418",
      "Estuary Pressure Laboratory",
      "2030-11-12",
      "2031-11-12",
      "BM3-1177",
      "E-30-2250",
    ]) {
      expect(text).toContain(part);
    }
  });

  it("R28: without a reference certificate it says that nothing is traceable, and is not issued", () => {
    const model = certificateModel({ ...sampleInput(REAL), references: [] });
    expect(textOf(model, "traceability")).toContain("not traceable");
    expect(model.status).toBe("draft");
  });

  it("R29: an adjustment shows as found and as left", () => {
    const model = sample();
    expect(textOf(model, "results-as-found")).toContain("FAIL");
    expect(textOf(model, "results-as-left")).toContain("pass");
    expect(textOf(model, "adjustment")).toMatch(/zero and span screws were adjusted[\s\S]*20\.684/);
  });

  it("R29: after an adjustment without as-left readings it says that the present errors are not known", () => {
    expect(textOf(sample({ ...REAL, story: "no-as-left" }), "verdict")).toContain("present errors are not known");
  });

  it("R30: says why as-found results are missing", () => {
    expect(textOf(sample({ ...REAL, story: "no-as-found" }), "verdict")).toMatch(
      /No as-found results: the record holds/,
    );
    const model = certificateModel({
      ...sampleInput({ ...REAL, story: "no-as-found" }),
      noAsFound: "the coil was open on arrival.",
    });
    expect(textOf(model, "verdict")).toContain("No as-found results: the coil was open on arrival.");
  });

  it("R31: without adjustment one set is both found and left", () => {
    const model = sample({ ...REAL, story: "not-adjusted" });
    const panels = section(model, "verdict").blocks.flatMap((b) => (b.kind === "verdicts" ? b.panels : []));
    expect(panels.map((p) => p.stage)).toEqual(["As found and as left"]);
    expect(textOf(model, "results-as-found")).toContain("No screw was turned");
  });

  it("R32: prints no due date of the item unless it was agreed", () => {
    const input = sampleInput(REAL);
    const words = /next calibration|recalibrat|valid until|interval/i;
    expect(whole(certificateModel({ ...input, nextDue: "2031-09-04" }))).not.toMatch(words);
    const agreed = {
      ...input.laboratory,
      next_due: { ...input.laboratory.next_due, agreed: true, agreement: "order 88/31" },
    };
    const text = textOf(certificateModel({ ...input, laboratory: agreed, nextDue: "2031-09-04" }), "item-and-work");
    expect(text).toContain("4 September 2031 (agreed: order 88/31)");
  });

  it("R34, R36, R38, R40: the rule is named and applied to each stage apart; points outside are named", () => {
    const model = sample();
    expect(textOf(model, "statements")).toMatch(/Decision rule, agreed before the first reading: Guarded acceptance/);
    const panels = section(model, "verdict").blocks.flatMap((b) => (b.kind === "verdicts" ? b.panels : []));
    expect(panels.map((p) => [p.stage, p.word])).toEqual([
      ["As found", "FAIL"],
      ["As left", "PASS"],
    ]);
    expect(panels[0]?.lines.join()).toContain("Not passed: points 1, 2, 9, 10");
  });

  it("R37: the limit is a number with its unit and says where it came from", () => {
    expect(textOf(sample(), "item-and-work")).toContain("±0.5 % of span, set by: maker's data sheet");
    expect(textOf(sample(), "verdict")).toContain("Limit ±0.414 kPa = 0.0600 psi (0.5 % of span)");
  });

  it("R39: simple acceptance says that up to 50 % may be wrongly accepted at the limit", () => {
    for (const language of ["en", "de"] as const) {
      expect(textOf(sample({ ...REAL, language, rule: { rule: "simple" } }), "statements")).toMatch(/50 ?%/);
    }
  });

  it("R41: the four words can all be printed, each with a shape of its own", () => {
    const model = sample({ ...REAL, rule: { rule: "four-words", share_of_U: 1 } });
    expect(textOf(model, "results-as-found")).toContain("△ cond. pass");
  });

  it("R43: with U above the limit there is no statement, and that is not a pass", () => {
    const model = sample({ ...REAL, u_kPa: 0.5 });
    const panels = section(model, "verdict").blocks.flatMap((b) => (b.kind === "verdicts" ? b.panels : []));
    expect(panels.map((p) => p.shape)).toEqual(["no-statement", "no-statement"]);
    expect(panels[0]?.lines.join()).toContain("No statement at points 1–10");
    expect(textOf(model, "results-as-found")).toMatch(/leaves no zone of acceptance/);
  });

  it("R45: verdicts differ in word and shape, and series of a drawing in marker and line", () => {
    const panels = section(sample(), "verdict").blocks.flatMap((b) => (b.kind === "verdicts" ? b.panels : []));
    expect(new Set(panels.map((p) => p.shape)).size).toBe(2);
    const chart = section(sample(), "results-as-found").blocks.find((b) => b.kind === "chart");
    if (chart?.kind !== "chart") throw new Error("no chart");
    expect(chart.chart.series.map((s) => s.marker)).toEqual(["filled-up", "open-down"]);
    const joins = chart.chart.lines.filter((l) => l.style !== "heavy").map((l) => l.style);
    expect(joins).toEqual(["solid", "dashed"]);
  });

  it("R60: k and coverage are stated; k that differs is stated point by point", () => {
    expect(textOf(sample(), "statements")).toMatch(/coverage factor k = 2\.00\. With a probability of about 95\.45 %/);
    const input = sampleInput(REAL);
    const asFound = input.asFound;
    if (asFound === undefined) throw new Error("no as-found");
    const uncertainties = asFound.uncertainties.map((u, i) => (i === 0 ? { ...u, k: 2.32 } : u));
    const model = certificateModel({ ...input, asFound: { ...asFound, uncertainties } });
    expect(textOf(model, "statements")).toContain("the coverage factor k given at each point");
    expect(textOf(model, "results-as-found")).toContain("2.32");
  });

  it("R60: a coverage with a long tail is stated with two decimals, a round one without", () => {
    for (const [coverage, printed] of [
      [0.954499736, "95.45 %"],
      [0.95, "95 %"],
    ] as const) {
      const input = sampleInput(REAL);
      const asFound = input.asFound;
      if (asFound === undefined) throw new Error("no as-found");
      const uncertainties = asFound.uncertainties.map((u) => ({ ...u, coverage }));
      const { asLeft: _, ...without } = input;
      const model = certificateModel({ ...without, asFound: { ...asFound, uncertainties } });
      expect(textOf(model, "statements")).toContain(`about ${printed} the value`);
    }
  });

  it("R62: says what U does not contain", () => {
    expect(textOf(sample(), "uncertainty")).toMatch(/transport[\s\S]*over years is not/);
  });

  it("R64: an overdue reference is marked and stops the issue", () => {
    const input = sampleInput(REAL);
    const references = input.references.map((r) => ({ ...r, certificate: { ...r.certificate, due: "2031-03-03" } }));
    const model = certificateModel({ ...input, references });
    expect(textOf(model, "traceability")).toContain("2031-03-03 OVERDUE");
    expect(model.status).toBe("draft");
  });

  it("R71: nothing suggests an accreditation", () => {
    for (const language of ["en", "de"] as const) {
      expect(whole(sample({ ...REAL, language }))).not.toMatch(/accredit|akkredit|17025/i);
    }
  });

  it("R79: the customer's unit stands beside the SI value with its factor", () => {
    const text = textOf(sample(), "results-as-found");
    expect(text).toMatch(/The same results in psi/);
    expect(text).toContain("1 psi = 6.894\u202F757 kPa");
    expect(textOf(sample({ ...REAL, unit: "kPa" }), "results-as-found")).not.toContain("psi");
  });

  it("R81: two languages: one is declared binding", () => {
    const model = certificateModel({ ...sampleInput(REAL), bindingLanguage: "de" });
    expect(textOf(model, "statements")).toContain("the German version is binding");
  });

  it("O10: cautions stand before the converter goes back to work, and an unsafe source is told first", () => {
    const input = sampleInput(REAL);
    const at = { seq: 999, at_s: 1, utc: "2031-03-04T10:00:00.000Z" };
    const record = {
      ...input.record,
      source_left: [{ ...at, outcome: "unknown" as const, current_mA: null, reason: "no answer from the source" }],
    };
    const text = textOf(certificateModel({ ...input, record }), "before-use");
    expect(text).toMatch(/could not make sure[\s\S]*Isolate, vent and secure[\s\S]*Local codes/);
  });
});

describe("a simulated run", () => {
  it("is a specimen in title, number, mark and status, and can never be issued", () => {
    const model = sample({ simulated: true });
    expect(model).toMatchObject({
      status: "specimen",
      simulated: true,
      title: "Specimen, not a certificate",
      number: "SIMULATED-TK-2031-0117",
      mark: { word: "SIMULATED" },
    });
  });

  it("is known from the clock or from one instrument alone", () => {
    expect(sample({ ...REAL, clock: "accelerated" }).status).toBe("specimen");
    const input = sampleInput(REAL);
    const [first, ...others] = input.record.instruments;
    if (first === undefined) throw new Error("no instrument");
    const record = { ...input.record, instruments: [{ ...first, simulated: true }, ...others] };
    expect(certificateModel({ ...input, record }).status).toBe("specimen");
  });

  it("keeps the word SIMULATED in every language", () => {
    expect(sample({ language: "de" })).toMatchObject({ mark: { word: "SIMULATED" }, number: "SIMULATED-TK-2031-0117" });
  });

  it("cannot be unmarked through the input", () => {
    const input = { ...sampleInput({ simulated: true }), simulated: false, status: "issued" };
    expect(certificateModel(input).simulated).toBe(true);
  });
});

describe("the model", () => {
  it("is plain data that can be handed to a worker", () => {
    const model = sample();
    expect(structuredClone(model)).toEqual(model);
  });

  it("R108: is the same twice", () => {
    expect(sample()).toEqual(sample());
  });

  it("R35: an issued certificate says which rule the record holds", () => {
    expect(textOf(sample(), "record-behind")).toMatch(/Rule on record\nguarded/);
  });

  it("R82, R88: names run, software version and the hash of every file used", () => {
    expect(textOf(sample(), "record-behind")).toMatch(
      /2031-03-04-0917-station-1[\s\S]*Stillpoint 0\.1\.0[\s\S]*(3b1f){16}/,
    );
  });
});
