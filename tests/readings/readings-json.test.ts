import { describe, expect, test } from "vitest";
import { parseReadingsCsv } from "../../src/readings/readings-csv.ts";
import { parseReadingsJson } from "../../src/readings/readings-json.ts";

const row =
  '{ "ordinal": 1, "cycle": 1, "direction": "rising", "nominal_mA": 4, "applied_mA": 4.0003, "output_psi": 3.002 }';
const file = (rows: string, more = ""): string =>
  `{ "format": "stillpoint-readings 1", ${more}\n  "readings": [\n    ${rows}\n  ] }`;

test("JSON and CSV of the same readings are the same set", () => {
  const json = parseReadingsJson(
    file(
      `${row},\n    { "ordinal": 2, "cycle": 1, "direction": "rising", "nominal_mA": 12, "applied_mA": null, "output_psi": null }`,
      '"notes": { "taken by": "Ida" },',
    ),
    "cellar",
  );
  const csv = parseReadingsCsv(
    "# stillpoint-readings 1\n# taken by: Ida\nordinal,cycle,direction,nominal_mA,applied_mA,output_psi\n1,1,rising,4,4.0003,3.002\n2,1,rising,12,,\n",
    "cellar",
  );
  expect(json).toEqual(csv);
  expect(json.ok).toBe(true);
});

/** Line and column of a piece of the text, counted here and not by the reader. */
const placeOf = (text: string, piece: string): { readonly line: number; readonly column: number } => {
  const before = text.slice(0, text.indexOf(piece)).split("\n");
  return { line: before.length, column: (before.at(-1) ?? "").length + 1 };
};

describe("JSON readings are refused with their place", () => {
  const cases: readonly (readonly [string, string, string | null, string])[] = [
    ["a bare word", '{ "format": 1,\n  oops }', "oops", "not JSON"],
    ["a comma too many", file(`${row},`), "]", "not JSON"],
    ["NaN", file(row.replace("3.002", "NaN")), "NaN", "not JSON"],
    ["a number without its digits", file(row.replace("3.002", "3.")), "3. ", "not JSON"],
    ["another format", '{ "format": "else" }', '"else"', '"else"'],
    ["a list", "[]", null, "not a JSON object"],
    ["an unknown name", file(row, '"colour": 17,'), "17", '"colour" is not known'],
    ["a name twice", file(row.replace('"cycle": 1', '"cycle": 1, "cycle": 2')), '"cycle": 2', "twice in one object"],
    ["a number as text", file(row.replace("3.002", '"3.002"')), '"3.002"', "not a reading"],
    ["a nested value", file(row.replace("3.002", "[3]")), "[3]", "not a reading"],
    ["an unknown column", file(row.replace("applied_mA", "applied")), "4.0003", '"applied" is not known'],
    ["readings that are none", '{ "format": "stillpoint-readings 1", "readings": 3 }', "3 }", "not a list"],
    ["notes that are none", file(row, '"notes": 17,'), "17", "notes are not texts"],
    ["an unknown mode", file(row, '"mode": "vacuum",'), '"vacuum"', '"vacuum"'],
  ];
  test.each(cases)("%s", (_, text, piece, words) => {
    const result = parseReadingsJson(text, "cellar.json");
    if (result.ok) throw new Error("it was accepted");
    const fault = result.fault.find((f) => f.message.includes(words));
    const place = piece === null ? { line: 1, column: 1 } : placeOf(text, piece);
    expect(fault, result.fault.map((f) => f.message).join("\n")).toMatchObject({ file: "cellar.json", ...place });
  });

  test("a file that breaks off", () => {
    const result = parseReadingsJson('{ "format": "stillpoint-readings 1",', "cellar.json");
    expect(result.ok ? [] : result.fault).toMatchObject([{ code: "bad-value", line: 1 }]);
  });

  test("a name that one reading lacks", () => {
    const short = row.replace('"direction": "rising", ', "");
    const result = parseReadingsJson(file(`${row.replace('"ordinal": 1', '"ordinal": 2')},\n${short}`), "cellar.json");
    expect(result.ok ? [] : result.fault.map((f) => [f.line, f.message])).toEqual([
      [4, expect.stringContaining('direction is ""')],
    ]);
  });
});
