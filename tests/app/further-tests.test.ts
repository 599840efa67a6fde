import { describe, expect, it } from "vitest";
import { certificateInput, readRecord } from "../../src/app/certify.ts";
import { examinationFor } from "../../src/app/examination-job.ts";
import { examinationPlots } from "../../src/app/examination-plot.ts";
import { plotsSvg } from "../../src/app/examination-plot-svg.ts";
import { plotText } from "../../src/app/examination-plot-text.ts";
import { furtherTests } from "../../src/app/further-tests.ts";
import { knownParts } from "../../src/app/known-parts.ts";
import type { Job } from "../../src/app/prepare-job.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { certificateModel } from "../../src/certificate/certificate-model.ts";
import { must, practiceJob } from "./practice-job.ts";

const recordOf = async (job: Job, run_id: string): Promise<string> => {
  const lines: string[] = [];
  must(
    await runVirtualJob(job, {
      run_id,
      utc_zero_ms: Date.UTC(2026, 10, 25, 8),
      keep: (line) => {
        lines.push(line);
        return null;
      },
    }),
  );
  return `${lines.join("\n")}\n`;
};

const examined = (unit: string, test: string): Promise<string> => {
  const job = practiceJob({ unit });
  return recordOf({ ...job, examine: must(examinationFor(job, test)) }, `test-${test}`);
};

const calibration = recordOf(practiceJob({}, { adjust: "never", plan: { points: 5 } }), "calibration");
const leak = examined("ip-3-15-psi", "leak");
const supply = examined("ip-3-15-psi", "supply");

describe("tests beside the results of a certificate", () => {
  const model = async (language: "en" | "de", opinions: boolean) => {
    const text = await calibration;
    const further = must(furtherTests(text, [await leak, await supply], knownParts(), opinions));
    const input = certificateInput(must(readRecord(text)), knownParts(), {
      language,
      paper: "A4",
      issued_ms: Date.UTC(2026, 10, 26),
      further,
    });
    return certificateModel(must(input));
  };

  it("are a section of their own, for information, with findings and drawings", async () => {
    const { sections, results } = await model("en", false);
    const section = sections.find((s) => s.id === "further-tests");
    const said = JSON.stringify(section?.blocks);
    expect(section?.heading).toBe("Further tests, for information");
    expect(said).toMatch(/no part of the calibration results and of no statement of conformity/u);
    expect(said).toMatch(/loss behind the closed valve/u);
    expect(said).toMatch(/supply 165\.0 kPa, input 100 %: error/u);
    expect(section?.blocks.filter((b) => b.kind === "chart").length).toBe(2);
    expect(said).not.toMatch(/7\.8\.7/u);
    // The results are those of the calibration alone.
    const alone = certificateModel(
      must(
        certificateInput(must(readRecord(await calibration)), knownParts(), {
          language: "en",
          paper: "A4",
          issued_ms: 0,
        }),
      ),
    );
    expect(results).toEqual(alone.results);
    expect(alone.sections.some((s) => s.id === "further-tests")).toBe(false);
  });

  it("carry opinions only when asked for, marked as such with the figures behind them", async () => {
    const { sections } = await model("en", true);
    const blocks = sections.find((s) => s.id === "further-tests")?.blocks ?? [];
    const said = JSON.stringify(blocks);
    expect(said).toMatch(/Opinions and interpretations \(ISO\/IEC 17025:2017, 7\.8\.7\)/u);
    expect(said).toMatch(/no result, and of no statement of conformity/u);
    // The practice unit is 1.2 % off at zero.
    expect(said).toMatch(/zero is off: adjust zero, then check span \(zero error \+1\.\d\d %\)/u);
    expect(said).toMatch(/Not tested, so nothing is said of it: .*dead band/u);
  });

  it("speak German on a German certificate, and name the words of the evaluation as such", async () => {
    const { sections } = await model("de", true);
    const section = sections.find((s) => s.id === "further-tests");
    expect(section?.heading).toBe("Weitere Prüfungen, zur Information");
    expect(JSON.stringify(section?.blocks)).toMatch(/Wortlaut der Auswertung: loss behind/u);
    expect(JSON.stringify(section?.blocks)).toMatch(/Zuluft, kPa/u);
  });

  it("refuses tests of another unit, and records without a test", async () => {
    const refused = async (record: Promise<string>): Promise<string> => {
      const result = furtherTests(await calibration, [await record], knownParts(), false);
      return result.ok ? "" : result.fault.message;
    };
    expect(await refused(examined("ip-20-100-kpa", "leak"))).toMatch(/is of .*, the calibration of HC15-20431/u);
    expect(await refused(calibration)).toMatch(/holds no test/u);
  });
});

describe("plots of a test", () => {
  const plots = async () => {
    const [examination] = must(readRecord(await supply)).examinations;
    if (examination === undefined) throw new Error("no test");
    return examinationPlots(practiceJob().transfer, examination);
  };

  it("draws every series within the width of a terminal, with both axes named", async () => {
    const [plot] = await plots();
    if (plot === undefined) throw new Error("no plot");
    const lines = plotText(plot, 80);
    expect(Math.max(...lines.map((l) => l.length))).toBeLessThanOrEqual(80);
    expect(lines[0]).toBe("influence of the supply: error, % of span   o input 100 %   x input 50 %");
    expect(lines.at(-1)).toMatch(/supply, kPa/u);
    // Full output gives way at the lowest supply: the sign of that input stands in the lowest row.
    expect(lines[14]).toMatch(/\|\s*o/u);
  });

  it("draws the same as a picture, with what it shows in words", async () => {
    const svg = plotsSvg(await plots(), "SIMULATED  a unit: supply");
    expect(svg).toMatch(/^<svg xmlns/u);
    expect(svg).toContain("<title>SIMULATED  a unit: supply</title>");
    expect(svg).toContain("supply, kPa");
    expect(svg).not.toMatch(/NaN|Infinity/u);
  });
});
