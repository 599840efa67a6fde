import { describe, expect, it } from "vitest";
import { caseFile } from "../../src/app/self-test/case-files.ts";
import { define } from "../../src/cli/commands/analyse.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { caseOf } from "../published/analysis-case-file.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

/** Published data as a user would write it down, through the command. Sources stand in the case files. */

const write = writtenFiles();
interface Term {
  readonly term: string;
  readonly estimate: number;
  readonly standard_error: number;
}
interface Lines {
  readonly slope: number;
  readonly intercept: number;
  readonly max_deviation: number;
}
interface Answer {
  readonly summary: Readonly<Record<string, number>>;
  readonly groups: { readonly F: number } | null;
  readonly unpaired_t: { readonly t: number } | null;
  readonly fit: {
    readonly terms: readonly Term[];
    readonly residual_sd: number;
    readonly residual_sd_by_n: number;
  } | null;
  readonly lines: readonly { readonly over: string; readonly lines: Readonly<Record<string, Lines>> }[];
  readonly static: {
    readonly ranges: string;
    readonly figures: readonly {
      readonly id: string;
      readonly value: number;
      readonly in_y?: number;
      readonly at_x?: number;
      readonly definition: string;
    }[];
    readonly errors: readonly { readonly error_percent_span: number }[];
    readonly remarks: readonly string[];
  } | null;
  readonly missing: number;
}
const analyse = async (text: string, ...args: readonly string[]): Promise<Answer> => {
  const path = write(/^\s*\{/u.test(text) ? "data.json" : "data.csv", text);
  const { code, out, talk } = await runCommand(define, [path, ...args, "--json"]);
  expect(talk).toBe("");
  expect(code).toBe(EXIT.success);
  return JSON.parse(out) as Answer;
};
const dataJson = (data: object): string => JSON.stringify({ format: "stillpoint-data 1", data });
const figure = (answer: Answer, id: string) => answer.static?.figures.find((f) => f.id === id);

const doebelin = caseOf<{ applied: number[]; up: number[]; down: number[] }, unknown>(
  "linearity-cases.json",
  "doebelin-fit-both-directions",
).inputs;
const rows = [
  ...doebelin.applied.map((x, i) => `${x},${doebelin.up[i]},rising`),
  ...doebelin.applied.map((x, i) => `${x},${doebelin.down[i]},falling`).toReversed(),
];
const gauge = `x_kPa,y_kPa,direction\n${rows.join("\n")}\n`;

describe("Doebelin's pressure gauge, 0 to 10 kPa", () => {
  it("least squares over all, with the divisor named", async () => {
    const { fit, lines } = await analyse(gauge);
    // Printed: 1.08 and -0.85.
    expect(fit?.terms.map((t) => Number(t.estimate.toFixed(2)))).toEqual([-0.85, 1.08]);
    expect(fit?.residual_sd).toBeCloseTo((fit?.residual_sd_by_n ?? 0) * Math.sqrt(22 / 20), 12);
    expect(lines.map((l) => l.over)).toEqual(["all", "mean", "rising", "falling"]);
  });

  it("hysteresis 0.61 kPa at 6 kPa: 6.1 % of the nominal span, 5.4 % of what was seen", async () => {
    const nominal = await analyse(gauge, "--x-range", "0 to 10", "--y-range", "0 to 10");
    const seen = await analyse(gauge);
    const [a, b] = [figure(nominal, "hysteresis-plus-dead-band"), figure(seen, "hysteresis-plus-dead-band")];
    expect(a).toMatchObject({ value: expect.closeTo(6.1, 9), in_y: expect.closeTo(0.61, 9), at_x: 6 });
    expect(a?.definition).toContain("nominal y span");
    expect(b).toMatchObject({ value: expect.closeTo(61 / 11.32, 9), in_y: expect.closeTo(0.61, 9), at_x: 6 });
    expect(b?.definition).toContain("observed y span");
    // Without nominal ranges there is no ideal, so no error against one.
    expect(seen.static?.errors).toEqual([]);
    expect(figure(seen, "zero-error")).toBeUndefined();
    expect(figure(nominal, "zero-error")?.in_y).toBeCloseTo(-0.905, 9);
  });

  it("prints for a person without a verdict", async () => {
    const { out } = await runCommand(define, [write("gauge.csv", gauge)]);
    expect(out).toContain("standard errors go with divisor n - p");
    expect(out).toContain("terminal (through the ends)");
    expect(out).toContain("No verdict is made about plain numbers");
  });
});

describe("NIST StRD through the command, to 12 digits and more", () => {
  interface Set {
    readonly name: string;
    readonly polynomialDegree: number | null;
    readonly intercept: boolean;
    readonly x: readonly (number | readonly number[])[];
    readonly y: readonly number[];
    readonly certified: { readonly estimate: readonly number[]; readonly standardDeviation: readonly number[] };
  }
  const strd = caseFile("nist-strd") as {
    readonly linearRegression: readonly Set[];
    readonly anova: readonly {
      readonly name: string;
      readonly data: readonly (readonly number[])[];
      readonly exactFForIeeeDoubles: number;
    }[];
    readonly univariate: readonly {
      readonly name: string;
      readonly data?: readonly number[];
      readonly certified: Readonly<Record<string, number>>;
    }[];
  };
  const close = (got: number | undefined, wanted: number) =>
    expect(Math.abs((got ?? Number.NaN) - wanted)).toBeLessThanOrEqual(1e-12 * (Math.abs(wanted) || 1));

  it.each(strd.linearRegression)("$name", async (set) => {
    const data =
      set.polynomialDegree === null
        ? Object.fromEntries(
            (set.x as readonly (readonly number[])[])[0]?.map((_, j) => [
              `x${j + 1}`,
              set.x.map((row) => (row as readonly number[])[j]),
            ]) ?? [],
          )
        : { x: set.x };
    const { fit } = await analyse(
      dataJson({ ...data, y: set.y }),
      ...(set.polynomialDegree === null ? [] : ["--degree", String(set.polynomialDegree)]),
      ...(set.intercept ? [] : ["--through-zero"]),
    );
    expect(fit?.terms).toHaveLength(set.certified.estimate.length);
    set.certified.estimate.forEach((b, i) => {
      close(fit?.terms[i]?.estimate, b);
      close(fit?.terms[i]?.standard_error, set.certified.standardDeviation[i] ?? Number.NaN);
    });
  });

  it("one-way analysis of variance and a plain list", async () => {
    const [anova] = strd.anova;
    const [list] = strd.univariate;
    if (anova === undefined || list?.data === undefined) throw new Error("no such set");
    const groups = anova.data.flatMap((group, i) => group.map((y) => ({ group: `g${i}`, y })));
    close((await analyse(dataJson(groups))).groups?.F, anova.exactFForIeeeDoubles);
    const { summary } = await analyse(`y\n${list.data.join("\n")}\n`);
    close(summary["mean"], list.certified["mean"] ?? 0);
    close(summary["standard_deviation"], list.certified["standardDeviation"] ?? 0);
    close(summary["lag_1_autocorrelation"], list.certified["lag1Autocorrelation"] ?? 0);
  });
});

describe("other plain columns", () => {
  it("percent of span error: 67 for 65 on 0 to 100 is +2 %", async () => {
    const answer = await analyse("x,y\n65,67\n", "--x-range", "0 to 100", "--y-range", "0 to 100");
    expect(answer.static?.errors[0]?.error_percent_span).toBeCloseTo(2, 12);
  });

  it("a y that falls", async () => {
    const answer = await analyse("x;y\n4;100,2\n12;60,1\n20;20,0\n", "--x-range", "4 to 20", "--y-range", "100 to 20");
    expect(answer.static?.errors.map((e) => Number(e.error_percent_span.toFixed(6)))).toEqual([0.25, 0.125, 0]);
  });

  it("a run twice over: repeatability over the cycles", async () => {
    const answer = await analyse(
      "x,y,direction,cycle\n0,0,rising,1\n5,5,rising,1\n10,10,rising,1\n0,0,rising,2\n5,5.2,rising,2\n10,10,rising,2\n",
    );
    expect(figure(answer, "repeatability")).toMatchObject({ in_y: expect.closeTo(0.2, 12), at_x: 5 });
  });

  it("an empty y is missing and counted", async () => {
    expect(await analyse("x,y\n1,2\n2,\n3,4\n")).toMatchObject({ missing: 1, summary: { n: 2 } });
  });

  it.each([
    ["NaN", "x,y\n1,NaN\n", 'y is "NaN"'],
    ["a strange column", "x,y,z\n1,2,3\n", 'the column "z" is not known'],
    ["no y", '{"format":"stillpoint-data 1","data":{"x":[1,2]}}', 'the column "y" is missing'],
    ["columns of two lengths", '{"format":"stillpoint-data 1","data":{"x":[1,2],"y":[1]}}', "columns of one length"],
    ["nothing", "x,y\n", "there are no values"],
    ["a direction that is none", "x,y,direction\n1,2,up\n", "Write rising or falling"],
    ["commas twice", "x,y\n1,5,2,5\n", "there are 4 fields and 2 columns"],
  ])("refused: %s", async (_name, text, says) => {
    const { code, talk } = await runCommand(define, [
      write(text.startsWith("{") ? "x.json" : "x.csv", text),
      "--plain",
    ]);
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain(says);
  });

  it("refused: a fit with more terms than values", async () => {
    const { code, talk } = await runCommand(define, [write("few.csv", "x,y\n1,2\n2,3\n"), "--degree", "3"]);
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain("cannot carry this fit");
  });
});
