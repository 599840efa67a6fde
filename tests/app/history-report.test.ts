import { describe, expect, it } from "vitest";
import { historyReports } from "../../src/app/history-report.ts";
import { every, factOf, type Told } from "../history/facts.ts";
import { must } from "./practice-job.ts";

const simulated = (t: Told): Told => ({ ...t, more: { ...t.more, simulated: true, run_id: `simulated ${t.date}` } });
const tagged = (t: Told): Told => ({
  ...t,
  more: {
    unit: { maker: "Hopwell Instruments", model: "HC-15", serial_number: t.serial ?? "", tag: "PV-9", customer: null },
  },
});

describe("reports of units", () => {
  it("keep simulated calibrations apart from real ones, in the unit, in its model and on its tag", () => {
    const facts = [
      ...every(6, [0.1, 0.2], "KV-1"),
      ...every(6, [0.3, 0.4], "KV-1").map(simulated),
      ...every(6, [0, 0.1], "KV-2").map(simulated),
    ].map(factOf);
    const [real, made] = must(historyReports(facts, "kv-1", {}));
    expect(real?.history).toMatchObject({ simulated: false });
    expect(real?.history.findings).toHaveLength(2);
    expect(real?.model).toEqual({ zero: null, span: null });
    expect(made?.history).toMatchObject({ simulated: true });
    expect(made?.model.span).toMatchObject({ units: 2, rates: 2 });
  });

  it("a tag on two units is two histories, each naming the other", () => {
    const facts = [
      ...every(6, [0.1, 0.2], "KV-1").map(tagged),
      ...every(6, [0.3, 0.4], "KV-2", "2025-06-01").map(tagged),
    ].map(factOf);
    const reports = must(historyReports(facts, "PV-9", {}));
    expect(reports.map((r) => [r.history.unit.serial_number, r.history.findings.length])).toEqual([
      ["KV-1", 2],
      ["KV-2", 2],
    ]);
    expect(reports[0]?.same_tag).toMatchObject([
      { unit: { serial_number: "KV-2" }, from: "2025-06-01", to: "2025-12-01" },
    ]);
  });

  it("what was done to the unit asked for was not done to the others of its model", () => {
    const facts = [...every(6, [0.1, 0.2], "KV-1"), ...every(6, [0.1, 0.2], "KV-2")].map(factOf);
    const interruptions = [{ date: "2024-03-01", what: "repaired" }];
    const [cut] = must(historyReports(facts, "KV-1", { interruptions }));
    expect(cut?.history.stretch).toHaveLength(1);
    const [other] = must(historyReports(facts, "KV-2", { interruptions: [] }));
    expect(other?.model.span).toMatchObject({ units: 2 });
    expect(cut?.model.span).toBeNull();
  });

  it("begin with six months, with what the laboratory's file stated last, or with what is asked for", () => {
    const told = every(6, [0.1, 0.2]);
    const own = (interval_months: number) => told.map((t) => factOf({ ...t, more: { interval_months } }));
    const settings = (facts: ReturnType<typeof own>, months?: number) =>
      must(historyReports(facts, "KV-1", { months }))[0]?.settings;
    expect(settings(own(6))).toMatchObject({ start_months: 6, start_from: "common practice, no source" });
    expect(settings(own(9))).toMatchObject({ start_months: 9, start_from: "the laboratory's file" });
    expect(settings(own(9), 4)).toMatchObject({ start_months: 4, start_from: "as asked for" });
  });

  it("a unit that is not there is refused with those that are", () => {
    const refused = historyReports(every(6, [0.1]).map(factOf), "KV-9", {});
    expect(refused.ok).toBe(false);
    expect(!refused.ok && refused.fault.remedy).toBe("There are: KV-1.");
  });
});
