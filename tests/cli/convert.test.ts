import { describe, expect, it } from "vitest";
import cases from "../../src/app/self-test/cases/units-and-ranges.json" with { type: "json" };
import { define } from "../../src/cli/commands/convert.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { runCommand } from "./in-process.ts";

/** Quantities, ranges, classes and rounding, as a user asks for them. Sources stand in the data, or beside the check. */

interface Row {
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
}
interface Answer {
  readonly results?: readonly Row[];
  readonly conversions?: readonly { readonly from: string; readonly results: readonly Row[] }[];
  readonly law?: readonly Row[];
}
const convert = async (...args: readonly string[]): Promise<Answer> => {
  const { code, out, talk } = await runCommand(define, [...args, "--json"]);
  expect([code, talk]).toEqual([EXIT.success, ""]);
  return JSON.parse(out) as Answer;
};
const figure = (rows: readonly Row[] | undefined, name: string): number | string | undefined =>
  rows?.find((r) => r.name === name)?.value;
const near = (got: number | string | undefined, wanted: number, tolerance: number): void =>
  expect(Math.abs(Number(got) - wanted), `${got} is not ${wanted}`).toBeLessThanOrEqual(tolerance);
const refusal = async (...args: readonly string[]): Promise<string> => {
  const { code, out, talk } = await runCommand(define, args);
  expect([code, out]).toEqual([EXIT.wrongUse, ""]);
  return talk;
};
const rangeText = ([from, to]: readonly number[]): string => `${from} to ${to}`;

describe("through any two ranges", () => {
  it.each(cases.scaling)("$id ($status)", async (each) => {
    const names = { input: "input", percent: "share of output", output: "output" } as const;
    for (const row of each.rows as readonly Readonly<Record<string, number | string>>[]) {
      const given = row["given"] as keyof typeof names;
      const text = given === "percent" ? `${row["percent"]} %span` : String(row[given]);
      const { results } = await convert(
        text,
        ...["--input", rangeText(each.input_range), "--output", rangeText(each.output_range)],
        ...["--characteristic", each.characteristic, "--given", given === "output" ? "output" : "input"],
      );
      for (const term of ["input", "percent", "output"] as const) {
        if (term === given || row[term] === undefined) continue;
        near(figure(results, names[term]), Number(row[term]), each.tolerance);
      }
    }
  });

  it("a table with what is still allowed (0 to 200 inH2O onto 3 to 15 psi, +-0.5 % of span)", async () => {
    const [each] = cases.tolerance;
    if (each === undefined) throw new Error("no case");
    const { conversions } = await convert(
      ...["--points", "0 25 50 75 100", "--input", "0 inH2O to 200 inH2O", "--output", "3 psi to 15 psi"],
      ...["--tolerance", each.tolerance_text],
    );
    expect(conversions).toHaveLength(5);
    for (const [i, { results }] of (conversions ?? []).entries()) {
      near(figure(results, "input"), each.input[i] ?? Number.NaN, 1e-9);
      near(figure(results, "output from"), each.low[i] ?? Number.NaN, 1e-9);
      near(figure(results, "output up to"), each.high[i] ?? Number.NaN, 1e-9);
    }
    const { results } = await convert(
      ...["153 inH2O", "--input", "0 inH2O to 200 inH2O", "--output", "3 psi to 15 psi", "--tolerance", "0.5 %span"],
    );
    expect(figure(results, "input from, same share of its span")).toBe(152);
    expect(figure(results, "input up to, same share of its span")).toBe(154);
  });

  it("counts of a converter, rounded down, with their hexadecimal (Kuphaldt worksheet, CC BY)", async () => {
    const { conversions } = await convert(
      ...[
        "36 %span",
        "89 %span",
        "--input",
        "0 psi to 75 psi",
        "--output",
        "0 counts to 16383 counts",
        "--round",
        "down",
      ],
    );
    const counts = conversions?.map((c) => figure(c.results, "output, rounded down"));
    const hex = conversions?.map((c) => figure(c.results, "the same, hexadecimal"));
    expect([counts, hex]).toEqual([
      [5897, 14580],
      ["1709", "38F4"],
    ]);
  });

  it("a law in numbers, also for reverse action; units are brought to those of the ranges", async () => {
    const up = await convert("0 inH2O", "--input", "-100 inH2O to 100 inH2O", "--output", "3 psi to 15 psi");
    expect(up.law?.map((r) => r.value)).toEqual([0.06, 9]);
    const down = await convert("0.012 A", "--output", "3 psi to 15 psi", "--action", "reverse", "--to", "kPa");
    near(figure(down.results, "output"), 62.05281563851525, 1e-9);
    expect(down.law?.[0]).toEqual({ name: "slope", value: -0.75, unit: "psi per mA" });
    const cold = await convert("-40 degF", "--input", "-80 degC to 150 degC", "--output", "4 mA to 20 mA");
    near(figure(cold.results, "input"), -40, 1e-9);
  });

  it("takes a number below zero for a quantity, and a slip for an option", async () => {
    const { results } = await convert("-29.69 degC", "--input", "-80 degC to 150 degC", "--output", "4 mA to 20 mA");
    near(figure(results, "output"), 7.5, 0.006);
    expect(await refusal("9 psi", "--tow", "kPa")).toContain("There is no option --tow");
  });
});

describe("by itself", () => {
  it("currents in the bands of NAMUR NE 43, and across a resistor", async () => {
    for (const { current_mA, band } of cases.signal_bands.flatMap((each) => each.rows)) {
      const { results } = await convert(`${current_mA} mA`);
      expect(figure(results, "band of NAMUR NE 43")).toBe(band);
    }
    // Load resistor table of a public tutorial: 250 ohm turns 4-20 mA into 1-5 V.
    const { conversions } = await convert("4 mA", "20 mA", "--across", "250 ohm");
    expect(conversions?.map((c) => figure(c.results, "voltage"))).toEqual([1, 5]);
    near(figure((await convert("5 V", "--across", "0.25 kohm")).results, "current"), 20, 1e-12);
  });

  it("pressures in one unit or all, and the list of units", async () => {
    expect((await convert("1 bar", "--to", "psi")).results?.[0]?.value).toBeCloseTo(14.50377377302092, 12);
    expect((await convert("1 psi")).results?.length).toBeGreaterThan(20);
    const { units } = JSON.parse((await runCommand(define, ["--units", "--json"])).out);
    expect(units).toContainEqual({ name: "inH2O(20degC)", pascal: expect.closeTo(248.641, 2), basis: "998.203 kg/m3" });
  });

  it("a water column at any temperature (Bettin and Spieweck formula; 20 degC as in the units)", async () => {
    const { results } = await convert("1 inH2O", "--column-at", "20 degC");
    near(figure(results, "density of water"), 998.203, 0.005);
    near(figure(results, "pressure"), 248.641, 0.002);
    const warm = await convert("10 mmH2O", "--column-at", "77 degF", "--to", "kPa");
    // Density at 25 degC is 997.047 kg/m3 in the usual tables.
    near(figure(warm.results, "pressure"), (997.047 * 9.80665 * 0.01) / 1e3, 1e-6);
  });

  it("classes of gauges (EN 837-1, Table 11; Eichordnung, Anlage 16) and grades (ASME B40.100, from memory)", async () => {
    const { results } = await convert("--class", "EN 837-1 1.6", "--output", "0 bar to 10 bar");
    expect(results?.filter((r) => r.name === "greatest error").map((r) => r.value)).toEqual([1.6, 0.16]);
    expect(figure(results, "greatest error in service")).toBe(2.4);
    expect(figure(results, "greatest hysteresis")).toBe(1.6);
    expect(figure(results, "least number of points")).toBe(5);
    const grade = (await convert("--class", "B")).results;
    const parts = ["lower quarter", "middle half", "upper quarter"].map((p) => figure(grade, `greatest error, ${p}`));
    expect(parts).toEqual([3, 2, 3]);
    const inService = await Promise.all(
      ["0.1", "0.25", "0.6", "1", "1.6", "2.5", "4"].map((name) => convert("--class", name)),
    );
    expect(inService.map((a) => figure(a.results, "greatest error in service"))).toEqual([
      0.15, 0.4, 0.9, 1.5, 2.4, 3.8, 6,
    ]);
  });

  it("compressed air: ISO 8573-1:2010, and instrument air by ANSI/ISA-7.0.01-1996 (public summaries)", async () => {
    const water = await Promise.all([1, 2, 3, 4, 5, 6].map((n) => convert("--air-class", `2:${n}:2`)));
    const points = water.map((a) => figure(a.results, "pressure dew point, at most"));
    expect(points).toEqual([-70, -40, -20, 3, 7, 10]);
    const oil = await Promise.all([1, 2, 3, 4].map((n) => convert("--air-class", `-:-:${n}`)));
    expect(oil.map((a) => figure(a.results, "oil, all forms, at most"))).toEqual([0.01, 0.1, 1, 5]);
    const dry = await Promise.all(["25 degC", "10 degC", "-10 degC"].map((t) => convert("--coldest", t)));
    expect(dry.map((a) => figure(a.results, "pressure dew point, at most"))).toEqual([4, 0, -20]);
  });

  it("rounds a value to its uncertainty (JCGM 100:2008, 7.2.2 and 7.2.6)", async () => {
    const { results } = await convert("100.02147 g", "--u", "0.35 mg");
    expect(["in words", "short", "long"].map((name) => figure(results, name))).toEqual([
      "100.02147 g, u = 0.35 mg",
      "100.02147(35) g",
      "100.02147(0.00035) g",
    ]);
    expect(figure((await convert("10.05762 ohm", "--u", "27 mohm")).results, "value")).toBe("10.058");
    expect(figure((await convert("--u", "10.47 mohm", "--round", "up")).results, "uncertainty")).toBe("11");
    expect(figure((await convert("--u", "28.05 kHz")).results, "uncertainty")).toBe("28");
  });
});

it.each([
  [[], "What is to be converted?"],
  [["9 foo"], "has the unit foo, which is not known"],
  [["9 psi", "--to", "foo"], '"foo" is not a pressure unit'],
  [["1,000 psi"], "may mean 1.000 or 1000"],
  [["NaN psi"], "is not a number with a unit"],
  [["12 mA", "--input", "4 mA to 20 mA"], "an input range without an output range"],
  [["12 mA", "--output", "15 psi to 3 psi"], "say --action reverse"],
  [["12 kg", "--output", "3 psi to 15 psi"], "is neither in mA or psi nor a percentage of span"],
  [["10 mA", "--output", "3 psi to 15 psi", "--tolerance", "0.5"], "is no tolerance of this output"],
  [["10 mA", "--output", "3 psi to 15 psi", "--to", "degC"], "is not to be had in degC"],
  [["4 mA", "--across", "250"], "is not a resistance"],
  [["1 psi", "--column-at", "20 degC"], "is no water column"],
  [["1 inH2O", "--column-at", "-5 degC"], "is no liquid column"],
  [["1 inH2O"], "inH2O"],
  [["--air-class", "2:9:2"], "is no class of air known here"],
  [["--coldest", "3 psi"], "degC"],
  [["--class", "Q"], "is no class of EN 837-1"],
  [["10 ohm", "--u", "1 V"], "is no uncertainty of 10 ohm"],
  [["--points", "a b", "--output", "3 psi to 15 psi"], "Points are numbers in % of span"],
] as const)("refuses %j in plain words", async (args, told) => {
  expect(await refusal(...args)).toContain(told);
});
