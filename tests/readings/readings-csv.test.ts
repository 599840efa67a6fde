import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseReadingsCsv } from "../../src/readings/readings-csv.ts";
import { readingsCsv, stagePointsOfSet } from "../../src/readings/readings-set.ts";
import type { StagePoint } from "../../src/readings/stage-point.ts";
import { toKilopascal } from "../../src/vocabulary/pressure-units.ts";
import { PLAIN, unitOf } from "../analysis/bench-readings.ts";

const HEAD = "# stillpoint-readings 1\n";
const COLUMNS = "ordinal,cycle,direction,nominal_mA,applied_mA,output_psi\n";

const read = (text: string) => {
  const result = parseReadingsCsv(text, "cellar.csv");
  if (!result.ok) throw new Error(result.fault.map((f) => f.message).join("\n"));
  return result.value;
};
const refused = (text: string) => {
  const result = parseReadingsCsv(text, "cellar.csv");
  if (result.ok) throw new Error("it was accepted");
  return result.fault;
};

describe("a readings file in CSV", () => {
  test("is read with its units, its notes and its missing point", () => {
    const set = read(
      `${HEAD}# mode: gauge\n# taken by: Ida, brewery valve workshop\n${COLUMNS}1,1,rising,4,4.0003,3.002\n\n2,1,rising,12,12.001,\n3,1,falling,4,,2.998\n`,
    );
    expect(set.output_unit).toBe("psi");
    expect(set.mode).toBe("gauge");
    expect(set.notes).toEqual({ "taken by": "Ida, brewery valve workshop" });
    expect(set.readings.map((r) => r.output_kPa)).toEqual([
      toKilopascal(3.002, "psi"),
      null,
      toKilopascal(2.998, "psi"),
    ]);
    expect(set.readings.map((r) => r.applied_mA)).toEqual([4.0003, 12.001, null]);
  });

  test("is the same with Windows line ends, a byte order mark, quotation marks and a spreadsheet's trailing separators", () => {
    const plain = read(`${HEAD}${COLUMNS}1,1,rising,4,4.0003,3.002\n`);
    const saved = read(
      `\uFEFF"# stillpoint-readings 1",,,,,\r\n${COLUMNS.trim()}\r\n"1","1","rising","4","4.0003","3.002"\r\n,,,,,\r\n`,
    );
    expect(saved).toEqual(plain);
  });

  test("may have decimal commas between semicolons", () => {
    const points = read(`${HEAD}${COLUMNS}1,1,rising,4,4.0003,3.002\n`);
    const commas = read(`${HEAD}${COLUMNS.replaceAll(",", ";")}1;1;rising;4;4,0003;3,002\n`);
    expect(commas).toEqual(points);
  });

  test("keeps a typographic minus sign as a minus", () => {
    expect(read(`${HEAD}${COLUMNS}1,1,rising,4,4,\u22120.5\n`).readings[0]?.output_kPa).toBe(toKilopascal(-0.5, "psi"));
  });

  test("asks which mark is meant when every number could be a group of thousands", () => {
    const rows = `${COLUMNS.replaceAll(",", ";")}1;1;rising;4;4,000;3,002\n`;
    const [fault] = refused(HEAD + rows);
    expect(fault).toMatchObject({ code: "bad-value", line: 3, column: 14, path: "applied_mA" });
    expect(fault?.message).toContain('"4,000" can be read in two ways');
    expect(read(`${HEAD}# decimal: comma\n${rows}`).readings[0]?.applied_mA).toBe(4);
  });
});

describe("a readings file is refused with its place", () => {
  const semicolons = COLUMNS.replaceAll(",", ";");
  /** What is wrong, the file, the piece of it that is pointed at (null: its beginning), words of the message. */
  const cases: readonly (readonly [string, string, string | null, string])[] = [
    ["another file", "a,b\n1,2\n", null, 'begins with "a,b"'],
    ["an empty file", "", null, "empty"],
    ["another version", "# stillpoint-readings 2\n", null, "not a readings file of this version"],
    ["NaN", `${HEAD}${COLUMNS}1,1,rising,4,4,NaN\n`, "NaN", 'output_psi is "NaN"'],
    ["infinity", `${HEAD}${COLUMNS}1,1,rising,4,4,1e999\n`, "1e999", "not a reading"],
    ["a word", `${HEAD}${COLUMNS}1,1,rising,4,4,3.0 psi\n`, "3.0 psi", '"3.0 psi"'],
    ["a direction of its own", `${HEAD}${COLUMNS}1,1,up,4,4,3\n`, "up,4", 'direction is "up"'],
    ["no nominal current", `${HEAD}${COLUMNS}1,1,rising,,4,3\n`, ",4,3", "nominal_mA is empty"],
    [
      "the same ordinal twice",
      `${HEAD}${COLUMNS}1,1,rising,4,4,3\n1,1,rising,8,8,6\n`,
      "1,1,rising,8",
      "ordinal 1 is there twice",
    ],
    ["cycle 0", `${HEAD}${COLUMNS}1,0,rising,4,4,3\n`, "0,rising", "cycle is 0"],
    [
      "decimal commas between commas",
      `${HEAD}${COLUMNS}1,1,rising,4,4,0003,3,002\n`,
      "1,1,rising",
      "8 fields and 6 columns",
    ],
    [
      "quoted decimal commas between commas",
      `${HEAD}${COLUMNS}1,1,rising,4,"4,0003",3\n`,
      '"4,0003"',
      "cannot be the decimal mark",
    ],
    [
      "a decimal comma declared between commas",
      `${HEAD}# decimal: comma\n${COLUMNS}1,1,rising,4,4,3\n`,
      "# decimal",
      "cannot be the decimal mark",
    ],
    ["both marks", `${HEAD}${semicolons}1;1;rising;4;4.01;3,02\n`, "3,02", 'has a comma, and "4.01" in line 3'],
    ["grouped digits", `${HEAD}# decimal: comma\n${semicolons}1;1;rising;4;4;1.013,25\n`, "1.013,25", '"1.013,25"'],
    ["an unknown decimal mark", `${HEAD}# decimal: dot\n${semicolons}`, "# decimal", '"dot"'],
    ["an open quotation mark", `${HEAD}${COLUMNS}1,1,rising,4,4,"3\n`, "1,1,rising", "not closed"],
    ["no output column", `${HEAD}ordinal,cycle,direction,nominal_mA\n1,1,rising,4\n`, "ordinal", "no output column"],
    ["a bare water column", `${HEAD}ordinal,cycle,direction,nominal_mA,output_inH2O\n`, "output_", '"inH2O"'],
    ["gauge hidden in the unit", `${HEAD}ordinal,cycle,direction,nominal_mA,output_psig\n`, "output_", '"psig"'],
    ["an unknown column", `${HEAD}${COLUMNS.trim()},colour\n`, "colour", '"colour" is not known'],
    ["a column twice", `${HEAD}${COLUMNS.trim()},cycle\n`, "cycle\n", "there twice"],
    ["two output units", `${HEAD}${COLUMNS.trim()},output_kPa\n`, "ordinal", "say the same twice"],
    ["an unknown mode", `${HEAD}# mode: vacuum\n${COLUMNS}`, "# mode", '"vacuum"'],
    ["a note without a name", `${HEAD}# hello\n${COLUMNS}`, "# hello", "name: text"],
    ["a note twice", `${HEAD}# by: Ida\n# by: Jo\n${COLUMNS}`, "# by: Jo", "there twice"],
    ["no rows", `${HEAD}${COLUMNS}`, null, "no readings"],
    ["no columns", HEAD, null, "no line of column names"],
  ];
  test.each(cases)("%s", (_, text, piece, words) => {
    const faults = refused(text);
    const fault = faults.find((f) => f.message.includes(words));
    const before = piece === null ? [""] : text.slice(0, text.indexOf(piece)).split("\n");
    const place = { file: "cellar.csv", line: before.length, column: (before.at(-1) ?? "").length + 1 };
    expect(fault, faults.map((f) => f.message).join("\n")).toMatchObject(place);
    expect(fault?.remedy).toBeTruthy();
  });

  test("every complaint comes at once", () => {
    expect(refused(`${HEAD}${COLUMNS}1,1,up,4,4,NaN\n2,1,rising,8,8,x\n`).map((f) => [f.line, f.column])).toEqual([
      [3, 5],
      [3, 12],
      [4, 16],
    ]);
  });
});

test("property: points that are written come back to the last digit", () => {
  const number = fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e6, max: 1e6 });
  const point = fc.record({
    cycle: fc.integer({ min: 1, max: 9 }),
    direction: fc.constantFrom("rising" as const, "falling" as const),
    nominal_mA: fc.double({ noNaN: true, min: 4, max: 20 }),
    applied_mA: number,
    output_kPa: number,
    supply_kPa: fc.option(number),
  });
  fc.assert(
    fc.property(fc.array(point, { minLength: 1, maxLength: 20 }), (rows) => {
      const points = rows.map(
        (r, i): StagePoint => ({ ...r, ordinal: i + 1, nominal_percent: 0, applied_from: "measured" }),
      );
      const back = read(readingsCsv(points, "kPa", "gauge")).readings;
      expect(back.map((r) => [r.ordinal, r.nominal_mA, r.applied_mA, r.output_kPa, r.supply_kPa])).toEqual(
        // A negative zero is written 0: the two are the same reading.
        points.map((p) => [
          p.ordinal,
          p.nominal_mA,
          p.applied_mA + 0,
          p.output_kPa + 0,
          p.supply_kPa === null ? null : p.supply_kPa + 0,
        ]),
      );
    }),
  );
});

test("readings of a file become points of the unit; missing ones are told apart", () => {
  const set = read(`${HEAD}ordinal,cycle,direction,nominal_mA,output_kPa\n1,1,rising,4,20.1\n2,1,rising,12,\n`);
  const result = stagePointsOfSet(set, PLAIN);
  if (!result.ok) throw new Error(result.fault.message);
  expect(result.value.points).toEqual([
    {
      ordinal: 1,
      cycle: 1,
      direction: "rising",
      nominal_percent: 0,
      nominal_mA: 4,
      applied_mA: 4,
      applied_from: "commanded",
      output_kPa: 20.1,
      supply_kPa: null,
    },
  ]);
  expect(result.value.missing.map((m) => m.nominal_mA)).toEqual([12]);
  const other = stagePointsOfSet(set, unitOf([4, 20], [20, 100], { mode: "absolute" }));
  expect(other.ok).toBe(false);
});
