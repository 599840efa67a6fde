import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { parseDataCsv, parseDataJson } from "../../src/readings/plain-data.ts";
import { parseReadingsCsv } from "../../src/readings/readings-csv.ts";
import { parseReadingsJson } from "../../src/readings/readings-json.ts";

const page = readFileSync(new URL("../../src/readings/readings-format.md", import.meta.url), "utf8");
const examples = [...page.matchAll(/```(csv|json)\n([\s\S]*?)```/gu)].map(([, kind, text]) => ({
  kind,
  text: text ?? "",
}));

test("the page has its six examples", () =>
  expect(examples.map((e) => e.kind)).toEqual(["csv", "csv", "csv", "json", "csv", "json"]));

test.each(examples.filter((e) => e.text.includes("stillpoint-data")))(
  "the plain $kind example is read",
  ({ kind, text }) => {
    const result = kind === "csv" ? parseDataCsv(text, "page") : parseDataJson(text, "page");
    expect(result).toMatchObject({ ok: true, value: { x: [{}], directed: kind === "csv" } });
  },
);

test.each(examples.filter((e) => e.text.includes("stillpoint-readings")))(
  "the $kind example is read",
  ({ kind, text }) => {
    const result = kind === "csv" ? parseReadingsCsv(text, "page") : parseReadingsJson(text, "page");
    expect(result).toMatchObject({ ok: true, value: { mode: "gauge" } });
  },
);
