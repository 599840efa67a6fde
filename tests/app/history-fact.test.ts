import { describe, expect, it } from "vitest";
import { certificateInput, readRecord } from "../../src/app/certify.ts";
import { sha256 } from "../../src/app/hash-chain.ts";
import { historyFact } from "../../src/app/history-fact.ts";
import { benchDueRows, dueRowsOf, namesUnit } from "../../src/app/history-source.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import { shipped } from "../../src/app/package-root.ts";
import { parseFact } from "../../src/history/fact-text.ts";
import { recordOfVisit } from "./history-records.ts";
import { must } from "./practice-job.ts";

const known = knownParts();

describe("what a record says for the history", () => {
  it("as found and as left apart, with limits, uncertainties and references", async () => {
    const text = await recordOfVisit({ date: "2026-03-10", zero_error: 1.2, span_error: 0, adjust: "always" });
    const fact = must(historyFact(must(readRecord(text)), known));
    expect(fact).toMatchObject({
      run_id: "visit-2026-03-10",
      date: "2026-03-10",
      simulated: true,
      finished: true,
      adjusted: true,
      interval_months: 6,
      unit: { model: "HC-15", serial_number: "HC15-20431", tag: "PV-114", customer: "Three Kettles Brewery" },
      range: "4 to 20 mA, 20.684 to 103.421 kPa gauge, direct, linear",
    });
    expect(fact.as_found?.verdict).toBe("fail");
    expect(fact.as_left?.verdict).toBe("pass");
    // Five points up and four down; the limit of 0.5 % of span is that of the unit file.
    expect(fact.as_found?.points).toHaveLength(9);
    for (const p of fact.as_found?.points ?? []) {
      expect(p.limit_percent_span).toBeCloseTo(0.5, 9);
      expect(p.U_percent_span).toBeGreaterThan(0.01);
      expect(p.U_percent_span).toBeLessThan(0.2);
      expect(p.clipped).toBe(false);
    }
    expect(fact.as_found?.zero_error_percent_span).toBeGreaterThan(1);
    expect(Math.abs(fact.as_left?.zero_error_percent_span ?? 9)).toBeLessThan(0.3);
    expect(fact.references.map((r) => [r.serial_number, r.due])).toContainEqual(["SIM-GAUGE-1", "2030-09-14"]);
    expect(parseFact(JSON.stringify(fact))).toEqual({ ok: true, value: fact });
    expect(namesUnit("pv-114", fact)).toBe(true);
    expect(namesUnit("HC15-20431 ", fact)).toBe(true);
    expect(namesUnit("HC15", fact)).toBe(false);
    expect(dueRowsOf([fact]).find((r) => r.kind === "unit")).toMatchObject({ due: "2026-09-10", simulated: true });
  });

  it("the day is that of the laboratory's time zone", async () => {
    const text = await recordOfVisit({ date: "2026-03-10", zero_error: 0, span_error: 0 });
    const late = text.replaceAll("2026-03-10T08", "2026-03-10T23");
    // Brussels is an hour ahead of UTC in winter.
    expect(must(historyFact(must(readRecord(late)), known)).date).toBe("2026-03-11");
  });

  it("a run without an ending is not finished", async () => {
    const text = await recordOfVisit({ date: "2026-03-10", zero_error: 0, span_error: 0 });
    const cut = text.split("\n").slice(0, -2).join("\n");
    expect(must(historyFact(must(readRecord(`${cut}\n`)), known)).finished).toBe(false);
  });
});

describe("a next date on the certificate", () => {
  const options = { language: "en", paper: "A4", issued_ms: 0 } as const;

  it("is there only when the laboratory's file of the run says that it was agreed", async () => {
    const text = await recordOfVisit({ date: "2026-08-31", zero_error: 0, span_error: 0 });
    const record = must(readRecord(text));
    expect(must(certificateInput(record, known, options)).nextDue).toBeUndefined();
    const agreed = record.header.files.map((file) =>
      file.role === "laboratory"
        ? {
            ...file,
            text: file.text.replace("agreed: false", "agreed: true\n  agreement: order 88/31"),
          }
        : file,
    );
    const files = agreed.map((f) => ({ ...f, sha256: sha256(f.text) }));
    const input = must(certificateInput({ ...record, header: { ...record.header, files } }, known, options));
    expect(input.nextDue).toBe("2027-02-28");
  });
});

describe("references of a bench file", () => {
  it("one row each, simulated when the bench is", () => {
    const rows = must(benchDueRows(shipped("bench-configs", "simulated-serial.yaml"), known));
    expect(rows.length).toBeGreaterThanOrEqual(3);
    for (const row of rows) expect(row).toMatchObject({ kind: "reference", simulated: true, due: "2030-09-14" });
  });
});
