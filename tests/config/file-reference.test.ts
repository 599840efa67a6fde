import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { fileReference } from "../../src/config/file-reference.ts";

describe("the generated documentation of the files", () => {
  it.each([...fileReference()])("bench-configs/%s is up to date (npm run docs:generate)", (name, text) => {
    expect(readFileSync(new URL(`../../bench-configs/${name}`, import.meta.url), "utf8")).toBe(text);
  });

  it("says something about every key", () => {
    const rows = (fileReference().get("README.md") ?? "").split("\n").filter((line) => /^\| (&nbsp;)*`/u.test(line));
    expect(rows.length).toBeGreaterThan(80);
    const silent = rows.filter((row) => /\|\s*\|$/u.test(row) && !row.includes("<name>"));
    expect(silent).toEqual([]);
  });
});
