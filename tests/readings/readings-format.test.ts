import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { parseReadingsCsv } from "../../src/readings/readings-csv.ts";
import { parseReadingsJson } from "../../src/readings/readings-json.ts";

const page = readFileSync(new URL("../../src/readings/readings-format.md", import.meta.url), "utf8");
const examples = [...page.matchAll(/```(csv|json)\n([\s\S]*?)```/gu)].map(([, kind, text]) => ({
  kind,
  text: text ?? "",
}));

test("the page has its three examples", () => expect(examples.map((e) => e.kind)).toEqual(["csv", "csv", "json"]));

test.each(examples)("the $kind example on the page is read", ({ kind, text }) => {
  const result = kind === "csv" ? parseReadingsCsv(text, "page") : parseReadingsJson(text, "page");
  expect(result).toMatchObject({ ok: true, value: { mode: "gauge" } });
});
