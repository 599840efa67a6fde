import { describe, expect, it } from "vitest";
import { shipped } from "../../src/app/package-root.ts";
import { define } from "../../src/cli/commands/analyse.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

const write = writtenFiles();
const analyse = (...args: readonly string[]) => runCommand(define, args);
const RANGE = ["--output", "20 kPa to 100 kPa"];

const HEAD = "# stillpoint-readings 1\n";
/** Rows of: cycle, direction, nominal mA, output kPa. */
const readings = (rows: readonly (readonly [number, string, number, number | ""])[], U = ""): string =>
  `${HEAD}ordinal,cycle,direction,nominal_mA,output_kPa${U === "" ? "" : ",U_kPa"}\n${rows
    .map((row, i) => [i + 1, ...row, ...(U === "" ? [] : [U])].join(","))
    .join("\n")}\n`;

const UP: readonly (readonly [number, string, number, number])[] = [
  [1, "rising", 4, 20.1],
  [1, "rising", 12, 60.2],
  [1, "rising", 20, 100.1],
];
const DOWN: readonly (readonly [number, string, number, number])[] = [
  [1, "falling", 12, 60.4],
  [1, "falling", 4, 20.2],
];

interface Document {
  readonly files: readonly {
    readonly points: readonly { readonly error_kPa: number; readonly clipped: string; readonly output_kPa: number }[];
    readonly figures: readonly {
      readonly id: string;
      readonly value: number;
      readonly definition: string;
      readonly source: string;
    }[];
    readonly remarks: readonly string[];
    readonly missing: readonly unknown[];
    readonly verdict: { readonly word: string; readonly points: readonly { readonly word: string }[] } | null;
    readonly no_verdict: string | null;
  }[];
  readonly reproducibility: { readonly value: number } | null;
}
const document = async (...args: readonly string[]) => {
  const { code, out, talk } = await analyse(...args, "--json");
  expect(talk).toBe("");
  const parsed = JSON.parse(out) as Document;
  const [first] = parsed.files;
  if (first === undefined) throw new Error("no file in the answer");
  const value = (id: string): number | undefined => first.figures.find((f) => f.id === id)?.value;
  return { ...parsed, ...first, code, value };
};

describe("readings of a converter", () => {
  it("gives every figure with its definition and source, and says that no verdict is made", async () => {
    const path = write("plain.csv", readings([...UP, ...DOWN]));
    const { code, out } = await analyse(path, ...RANGE);
    expect(code).toBe(EXIT.success);
    expect(out).toContain("Hysteresis plus dead band: 0.25 % of output span at 50 % of output span");
    expect(out).toContain("percent\n    of the nominal output span");
    expect(out).toContain("Source: 43 CFR 3175.135(a).");
    expect(out).toContain("No verdict is made: no tolerance is given and no uncertainty is given");
    const json = await document(path, ...RANGE);
    expect(json.figures.every((f) => f.definition !== "" && f.source !== "")).toBe(true);
    expect(json.value("zero-error")).toBeCloseTo((100 * 0.15) / 80, 12);
    expect(json.no_verdict).toContain("No verdict");
  });

  it("takes the unit from a file, its tolerance too, and converts", async () => {
    const path = write(
      "psi.csv",
      `${HEAD}ordinal,cycle,direction,nominal_mA,applied_mA,output_psi,U_psi,k\n1,1,rising,4,4.001,3.02,0.01,2\n2,1,rising,12,12.000,9.01,0.01,2\n3,1,rising,20,20.0,15.0,0.01,2\n`,
    );
    const { verdict, code, points } = await document(path, "--unit", shipped("bench-configs", "ip-3-15-psi.yaml"));
    // 3.02 psi at 4.001 mA, where 3.00075 psi is ideal: 0.01925 psi.
    expect(points[0]?.error_kPa).toBeCloseTo(0.01925 * 6.894757293168361, 9);
    expect(verdict?.word).toBe("pass");
    expect(code).toBe(EXIT.success);
  });

  it("missing points stay missing and keep the stage from passing", async () => {
    const path = write("missing.csv", readings([...UP, [1, "falling", 12, ""], [1, "falling", 4, 20.2]], "0.05"));
    const { missing, verdict, code, remarks } = await document(path, ...RANGE, "--tolerance", "0.5 %span");
    expect(missing).toHaveLength(1);
    expect(verdict?.word).toBe("no-statement");
    expect(code).toBe(EXIT.outOfTolerance);
    expect(remarks.join(" ")).toContain("0 of 1 falling readings are there");
  });

  it("one direction: no hysteresis, and it says so", async () => {
    const { value, remarks } = await document(write("up.csv", readings(UP)), ...RANGE);
    expect(value("hysteresis-plus-dead-band")).toBeUndefined();
    expect(remarks.join(" ")).toContain("rising readings only");
  });

  it("two cycles: repeatability by the chosen meaning", async () => {
    const two = [...UP, ...UP.map(([, way, mA, kPa]) => [2, way, mA, kPa + (mA === 12 ? 0.08 : 0)] as const)];
    const path = write("two.csv", readings(two));
    expect((await document(path, ...RANGE)).value("repeatability")).toBeCloseTo(0.1, 12);
    const sd = await document(path, ...RANGE, "--repeatability", "standard-deviation 3");
    expect(sd.value("repeatability")).toBeCloseTo((3 * 0.1) / Math.sqrt(2), 12);
    expect(sd.figures.find((f) => f.id === "repeatability")?.definition).toContain("divisor n - 1");
  });

  it("a text file with decimal commas", async () => {
    const path = write(
      "comma.csv",
      `${HEAD}ordinal;cycle;direction;nominal_mA;output_kPa\n1;1;rising;4;20,15\n2;1;rising;12;60,2\n3;1;rising;20;100,1\n`,
    );
    expect((await document(path, ...RANGE)).points[0]?.output_kPa).toBe(20.15);
  });

  it("a lower end at zero pressure hides its error and gets no statement", async () => {
    const rows = [
      [1, "rising", 4, 0.001],
      [1, "rising", 12, 49.9],
      [1, "rising", 20, 100],
    ] as const;
    const path = write("clipped.csv", readings(rows, "0.05"));
    const { points, remarks, verdict, value } = await document(
      path,
      "--output",
      "0 kPa to 100 kPa",
      "--tolerance",
      "1 %span",
    );
    expect(points[0]?.clipped).toBe("at-zero");
    expect(remarks.join(" ")).toContain("by how much is hidden");
    expect(verdict?.points.map((p) => p.word)).toEqual(["no-statement", "pass", "pass"]);
    // Continued from the free points, never the 0 that was read.
    expect(value("zero-error")).toBeCloseTo(-0.2, 9);
  });

  it("several files are runs of one unit: reproducibility", async () => {
    const first = write("run-1.csv", readings(UP));
    const second = write("run-2.csv", readings(UP.map(([c, way, mA, kPa]) => [c, way, mA, kPa + 0.16] as const)));
    expect((await document(first, second, ...RANGE)).reproducibility?.value).toBeCloseTo(0.2, 12);
  });

  it("a dead band by its own test leaves hysteresis alone", async () => {
    const path = write("band.csv", readings([...UP, ...DOWN]));
    expect((await document(path, ...RANGE, "--dead-band", "0.05")).value("hysteresis")).toBeCloseTo(0.2, 12);
  });
});

describe("the verdict on the boundaries (limit 0.4 kPa, guarded by U)", () => {
  const judge = async (error: number, U: number, rule = "guarded") => {
    const path = write("one.csv", readings([[1, "rising", 12, 60 + error]], String(U)));
    const { verdict } = await document(path, ...RANGE, "--tolerance", "0.5 %span", "--rule", rule);
    return verdict?.word;
  };
  it.each([
    [0.3, 0.1, "pass"],
    [0.3001, 0.1, "fail"],
    [0.4, 0.1, "fail"],
    [0.1, 0.5, "no-statement"],
  ])("error %d kPa with U %d kPa: %s", async (error, U, word) => {
    expect(await judge(error, U)).toBe(word);
  });
  it.each([
    [0.3, "pass"],
    [0.4, "conditional-pass"],
    [0.5, "conditional-fail"],
    [0.5001, "fail"],
  ])("four words: error %d kPa with U 0.1 kPa: %s", async (error, word) => {
    expect(await judge(error, 0.1, "four-words")).toBe(word);
  });
});

describe("what is refused, and how", () => {
  it.each([
    ["NaN", readings([[1, "rising", 4, "NaN" as never]]), 'output_kPa is "NaN", which is not a reading'],
    ["a dash", readings([[1, "rising", 4, "-" as never]]), "leave the cell empty"],
    ["no head", "ordinal,cycle\n", "this is not a readings file"],
    [
      "k without U",
      `${HEAD}ordinal,cycle,direction,nominal_mA,output_kPa,k\n1,1,rising,4,20,2\n`,
      "there is a k, but no U",
    ],
    ["U of nothing", readings([[1, "rising", 4, 20]], "0"), "An uncertainty is above 0"],
  ])("%s", async (name, text, says) => {
    const { code, talk, out } = await analyse(write(`${name}.csv`, text), ...RANGE);
    expect(code).toBe(EXIT.wrongUse);
    expect(out).toBe("");
    expect(talk).toContain(says);
  });

  it.each([
    ["no range", [], "It is not said what the unit ought to do"],
    ["a bare water column", ["--output", "3 inH2O to 15 inH2O"], "inH2O"],
    ["percent of nothing", [...RANGE, "--tolerance", "0.5 %"], "%span"],
    ["a tolerance with a sign", [...RANGE, "--tolerance", "-0.5 %span"], "not above zero"],
    ["another mode", [...RANGE, "--mode", "absolute"], "gauge pressures, the unit's range is absolute"],
    ["a meaning that is none", [...RANGE, "--repeatability", "luck"], "not one of the meanings of repeatability"],
    ["a rule that is none", [...RANGE, "--rule", "luck"], "is not a decision rule"],
  ])("%s", async (_name, args, says) => {
    const { code, talk } = await analyse(write("good.csv", readings(UP)), ...args);
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain(says);
  });
});

describe("as found and as left in one file", () => {
  const rows = (stage: string, offset: number): string =>
    [...UP, ...DOWN]
      .map(([cycle, way, mA, kPa], i) => [stage, i + 1, cycle, way, mA, (kPa + offset).toFixed(3), 0.05].join(","))
      .join("\n");
  const staged = (...parts: readonly string[]): string =>
    `${HEAD}stage,ordinal,cycle,direction,nominal_mA,output_kPa,U_kPa\n${parts.join("\n")}\n`;
  interface Staged {
    readonly files: readonly {
      readonly stage: string;
      readonly points: readonly unknown[];
      readonly verdict: { readonly stage: string; readonly word: string };
    }[];
    readonly changes: readonly {
      readonly places: readonly { readonly nominal_percent: number; readonly change_kPa: number }[];
      readonly largest: { readonly change_percent_span: number };
      readonly worst_as_found_percent_span: number;
      readonly worst_as_left_percent_span: number;
    }[];
    readonly reproducibility: { readonly value: number } | null;
    readonly reproducibility_as_left: { readonly value: number } | null;
  }
  const judge = async (...paths: readonly string[]) => {
    const { code, out, talk } = await analyse(...paths, ...RANGE, "--tolerance", "0.625 %span", "--json");
    expect(talk).toBe("");
    return { code, ...(JSON.parse(out) as Staged) };
  };

  it("each is judged, the change is told, and what was left decides", async () => {
    const { code, files, changes, reproducibility } = await judge(
      write("both.csv", staged(rows("as-found", 0.5), rows("as-left", -0.1))),
    );
    expect(files.map((f) => [f.stage, f.points.length, f.verdict.stage, f.verdict.word])).toEqual([
      ["as-found", 5, "as-found", "fail"],
      ["as-left", 5, "as-left", "pass"],
    ]);
    expect(code).toBe(EXIT.success);
    expect(changes).toHaveLength(1);
    expect(changes[0]?.places).toHaveLength(5);
    for (const place of changes[0]?.places ?? []) expect(place.change_kPa).toBeCloseTo(-0.6, 9);
    expect(changes[0]?.largest.change_percent_span).toBeCloseTo(-0.75, 9);
    expect(changes[0]?.worst_as_found_percent_span).toBeCloseTo(1.125, 9);
    expect(changes[0]?.worst_as_left_percent_span).toBeCloseTo(0.375, 9);
    expect(reproducibility).toBeNull();
  });

  it("a unit left outside its limits is outside, whatever it was before", async () => {
    const { code } = await judge(write("worse.csv", staged(rows("as-found", -0.1), rows("as-left", 0.5))));
    expect(code).toBe(EXIT.outOfTolerance);
  });

  it("as found alone decides where nothing was left otherwise; the stages may be mixed", async () => {
    const alone = await judge(write("found.csv", staged(rows("as-found", 0.5))));
    expect([alone.code, alone.changes.length]).toEqual([EXIT.outOfTolerance, 0]);
    const [found, left] = [rows("as-found", 0.5).split("\n"), rows("as-left", -0.1).split("\n")];
    const mixed = staged(...found.flatMap((row, i) => [left[i] ?? "", row]));
    expect((await judge(write("mixed.csv", mixed))).files.map((f) => f.stage)).toEqual(["as-found", "as-left"]);
  });

  it("reproducibility is over runs of one stage, and an adjustment is no part of it", async () => {
    const one = write("one.csv", staged(rows("as-found", 0.5), rows("as-left", -0.1)));
    const two = write("two.csv", staged(rows("as-found", 0.54), rows("as-left", -0.1)));
    const both = await judge(one, two);
    expect(both.reproducibility?.value).toBeCloseTo((100 * 0.24) / 80, 9);
    expect(both.reproducibility_as_left?.value).toBeCloseTo((100 * 0.2) / 80, 9);
  });

  it("prints both and the change", async () => {
    const path = write("both.csv", staged(rows("as-found", 0.5), rows("as-left", -0.1)));
    const { out } = await analyse(path, ...RANGE, "--tolerance", "0.625 %span");
    expect(out).toContain("both.csv, as found: 5 readings");
    expect(out).toContain("both.csv, as left: 5 readings");
    expect(out).toContain("Largest error as found 1.125 % of span, as left 0.375 %.");
    expect(out.match(/Source: 43 CFR/gu)?.length).toBe(1);
  });

  it("refuses a stage that is none, and the same ordinal twice in one", async () => {
    const bad = await analyse(write("bad.csv", staged(rows("as-lost", 0))), ...RANGE);
    expect([bad.code, bad.talk.includes('bad.csv:3:1  stage is "as-lost"')]).toEqual([EXIT.wrongUse, true]);
    const twice = await analyse(write("bad.csv", staged(rows("as-left", 0), rows("as-left", 0))), ...RANGE);
    expect(twice.talk).toContain("ordinal 1 is there twice as-left");
  });
});

describe("boundaries of a verdict, limit 0.4 kPa and U 0.05 kPa", () => {
  const at = (...errors: readonly number[]): string =>
    readings(
      [4, 12, 20].map((mA, i) => [1, "rising", mA, Number((20 + 5 * (mA - 4) + (errors[i] ?? 0)).toFixed(4))] as const),
      "0.05",
    );
  it.each([
    ["simple", ["pass", "pass", "fail"]],
    ["guarded", ["pass", "fail", "fail"]],
    ["four-words", ["pass", "conditional-pass", "conditional-fail"]],
  ] as const)("%s: on the limit less w, on the limit, on the limit plus w", async (rule, words) => {
    const path = write("edges.csv", at(0.35, 0.4, 0.45));
    const { verdict } = await document(path, ...RANGE, "--tolerance", "0.5 %span", "--rule", rule);
    expect(verdict?.points.map((p) => p.word)).toEqual(words);
    const { verdict: below } = await document(
      write("edges.csv", at(-0.35, -0.4, -0.45)),
      ...RANGE,
      "--tolerance",
      "0.4 kPa",
      "--rule",
      rule,
    );
    expect(below?.points.map((p) => p.word)).toEqual(words);
  });

  it("U larger than the limit: no statement, no risk of a verdict that is not made", async () => {
    const { out, code } = await analyse(write("wide.csv", at(0, 0.01, 0.02)), ...RANGE, "--tolerance", "0.04 kPa");
    expect(code).toBe(EXIT.outOfTolerance);
    expect(out).toMatch(/^ {2}1 +0\.000 +0\.040 +0\.050 +none +no statement +-$/mu);
  });

  it("reasons speak in the unit of the range", async () => {
    const path = write(
      "psi.csv",
      `${HEAD}ordinal,cycle,direction,nominal_mA,output_psi,U_psi\n1,1,rising,4,3.09,0.01\n2,1,rising,20,15,0.01\n`,
    );
    const { out } = await analyse(path, "--output", "3 psi to 15 psi", "--tolerance", "0.5 %span");
    expect(out).toContain("outside the limit: error 0.090 psi, limit 0.060 psi, U 0.010 psi");
    expect(out).not.toMatch(/ kPa\b(?!\/mA)/u);
  });
});

describe("what cannot be analysed", () => {
  it.each([
    ["every reading missing", readings([[1, "rising", 4, ""]]), [], "every reading is missing"],
    [
      "a set point of another range",
      readings([...UP, [1, "falling", 40, 20]]),
      [],
      "a set point of 40 mA, which is 225 %",
    ],
    [
      "NaN",
      `${HEAD}ordinal,cycle,direction,nominal_mA,output_kPa\n1,1,rising,4,NaN\n`,
      [],
      '.csv:3:14  output_kPa is "NaN"',
    ],
    ["a limit without a unit", readings(UP), ["--tolerance", "0.5"], "0.5 %span, 0.5 %reading, 0.5 kPa"],
    ["an option for plain columns", readings(UP), ["--at", "5"], "--at is for plain columns"],
    ["no range", readings(UP), null, "It is not said what the unit ought to do"],
  ] as const)("%s", async (_, text, args, told) => {
    const { code, out, talk } = await analyse(write("bad.csv", text), ...(args === null ? [] : [...RANGE, ...args]));
    expect([code, out]).toEqual([EXIT.wrongUse, ""]);
    expect(talk).toContain(told);
    expect(talk).not.toContain("Nothing was opened");
  });
});
