import { z } from "zod";
import { benchFileSchema } from "./bench-file.schema.ts";
import { laboratoryFileSchema } from "./laboratory-file.schema.ts";
import { defaultText, factsOf, isRequired, optionsOf, unwrapped, wantedText } from "./schema-walk.ts";
import { unitFileSchema } from "./unit-file.schema.ts";

/** The documentation of the files, made from their schemas: JSON schemas for editors, and one page for people. */

const FILES = [
  {
    name: "bench-file.schema.json",
    title: "Bench file",
    words:
      "What the bench is made of: the lines, the instruments with the certificates of the references, the stations, " +
      "the limits that no run may exceed, and for practice the simulated bench.",
    schema: benchFileSchema,
  },
  {
    name: "unit-file.schema.json",
    title: "Unit file",
    words: "The unit under test: which one it is, what it ought to do, what it may bear, and its two screws.",
    schema: unitFileSchema,
  },
  {
    name: "laboratory-file.schema.json",
    title: "Laboratory file",
    words: "Who issues the certificate, by which method and which decision rule.",
    schema: laboratoryFileSchema,
  },
] as const;

interface Row {
  readonly key: string;
  readonly write: string;
  readonly need: string;
  readonly meaning: string;
}

const indented = (depth: number, key: string): string => `${"&nbsp;&nbsp;".repeat(depth)}\`${key}\``;

const rowsOfShape = (shape: Readonly<Record<string, z.ZodType>>, depth: number): readonly Row[] =>
  Object.entries(shape).flatMap(([key, field]) => rowsOf(key, field, depth));

const rowsOf = (key: string, field: z.ZodType, depth: number): readonly Row[] => {
  const bare = unwrapped(field);
  const fallback = defaultText(field);
  const need = isRequired(field) ? "yes" : fallback === undefined || fallback === "" ? "no" : `no: \`${fallback}\``;
  const own: Row = {
    key: indented(depth, key),
    write: wantedText(field),
    need,
    meaning: factsOf(field).description ?? "",
  };
  if (bare instanceof z.ZodObject) return [own, ...rowsOfShape(bare.shape as Record<string, z.ZodType>, depth + 1)];
  if (bare instanceof z.ZodRecord) return [own, ...rowsOf("<name>", bare.valueType as z.ZodType, depth + 1)];
  if (bare instanceof z.ZodArray) {
    const element = bare.element as z.ZodType;
    return element instanceof z.ZodObject
      ? [own, ...rowsOfShape(element.shape as Record<string, z.ZodType>, depth + 1)]
      : [own];
  }
  if (bare instanceof z.ZodDiscriminatedUnion) {
    return [
      own,
      ...optionsOf(bare).flatMap(({ object }) => rowsOfShape(object.shape as Record<string, z.ZodType>, depth + 1)),
    ];
  }
  return [own];
};

const cell = (text: string): string => text.replaceAll("|", "\\|");

const table = (schema: z.ZodObject): string =>
  [
    "| key | write | needed (or default) | meaning |",
    "| --- | --- | --- | --- |",
    ...rowsOfShape(schema.shape as Record<string, z.ZodType>, 0).map(
      (row) => `| ${row.key} | ${cell(row.write)} | ${cell(row.need)} | ${cell(row.meaning)} |`,
    ),
  ].join("\n");

const INTRODUCTION = `# Bench, unit and laboratory files

This page and the \`.schema.json\` files beside it are made from the schemas in \`src/config\`; do not edit them by hand.
\`npm run docs:generate\` makes them again, and a test fails while they are out of date.

The files are YAML. A quantity is text with its unit: \`3 psi\`, \`4 mA\`, \`0.5 %span\`, \`20 degC\`, \`30 s\`.

- The decimal mark is a point or one comma; digits are never grouped, and \`1,000\` is refused because it may mean two things.
- A percentage says of what: \`%span\` (of upper minus lower range value) or \`%reading\`.
- A water or mercury column says at which condition: \`inH2O(4degC)\`, never a bare \`inH2O\`.
- Gauge, absolute or differential stands in \`mode\`, never in the unit.
- 3-15 psi and 20-100 kPa are two ranges; their spans differ by 3.4 %.
- Days are written \`2026-03-01\`. A serial number of digits only needs quotes.
- Names of links, instruments and stations are your own: lower-case letters, digits and hyphens.

An editor that knows JSON schemas completes and checks the keys when the first line of the file names the schema, as in
the examples here.

| example | what it shows |
| --- | --- |
| [simulated-serial.yaml](simulated-serial.yaml) | the whole bench on one simulated serial line |
| [simulated-tcp.yaml](simulated-tcp.yaml) | the same over Modbus TCP |
| [simulated-lines.yaml](simulated-lines.yaml) | instruments that speak lines of text; no meter in the loop |
| [real-serial-example.yaml](real-serial-example.yaml) | a real bench, to copy |
| [ip-3-15-psi.yaml](ip-3-15-psi.yaml), [ip-20-100-kpa.yaml](ip-20-100-kpa.yaml) | the two common converters |
| [ip-0-75-psi.yaml](ip-0-75-psi.yaml) | a lower end at zero |
| [ip-reverse.yaml](ip-reverse.yaml) | reverse action |
| [ip-split-low.yaml](ip-split-low.yaml) | one half of a split range |
| [laboratory.yaml](laboratory.yaml) | who issues the certificate |
`;

/** JSON schema of what a person writes. Examples are put back, because the library drops them where text is converted. */
const jsonSchemaText = (schema: z.ZodObject): string => {
  const made = z.toJSONSchema(schema, {
    io: "input",
    override: ({ zodSchema, jsonSchema }) => {
      const { examples } = factsOf(zodSchema as z.core.$ZodType as z.ZodType);
      if (examples.length > 0) jsonSchema.examples = [...examples];
    },
  });
  return `${JSON.stringify(made, null, 2)}\n`;
};

/** Text of every generated file, by its name in `bench-configs`. */
export const fileReference = (): ReadonlyMap<string, string> =>
  new Map([
    ...FILES.map(({ name, schema }) => [name, jsonSchemaText(schema)] as const),
    [
      "README.md",
      [INTRODUCTION, ...FILES.map(({ title, words, schema }) => `## ${title}\n\n${words}\n\n${table(schema)}\n`)].join(
        "\n",
      ),
    ],
  ]);
