import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const here = new URL(".", import.meta.url);
const table = readFileSync(new URL("requirements.md", here), "utf8");
const rows = [...table.matchAll(/^\| R(\d+) \| [^|]+ \| ([^|]+) \|$/gm)].map((m) => ({
  number: Number(m[1]),
  where: (m[2] ?? "").trim(),
}));

/** Requirement numbers in the titles of the tests beside this one, and of those of the life of a certificate. */
const testsIn = (folder: URL): readonly string[] =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".test.ts"))
    .map((name) => readFileSync(new URL(name, folder), "utf8"));

const titled = new Set(
  [here, new URL("../app/", here)]
    .flatMap(testsIn)
    .flatMap((text) => [...text.matchAll(/\bit(?:\.each\([^)]*\))?\(\s*["`](R[\d, R]+):/g)])
    .flatMap((m) => (m[1] ?? "").match(/\d+/g) ?? [])
    .map(Number),
);

describe("table of requirements", () => {
  it("has every number from 1 to 112 once", () => {
    expect(rows.map((r) => r.number)).toEqual(Array.from({ length: 112 }, (_, i) => i + 1));
  });

  it("calls tested exactly what a test names", () => {
    const claimed = rows.filter((r) => r.where === "tested").map((r) => r.number);
    expect(claimed).toEqual([...titled].sort((a, b) => a - b));
  });
});
