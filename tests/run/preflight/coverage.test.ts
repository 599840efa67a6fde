import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { checkNames } from "../../../src/run/preflight/index.ts";

/** The table beside this test: complete, with names that exist, and without a check that nobody needs. */
const rows = readFileSync(new URL("./coverage.md", import.meta.url), "utf8")
  .split("\n")
  .flatMap((line) => {
    const [, p = "", trouble = "", seenBy = "", how = ""] = line.split("|").map((cell) => cell.trim());
    return /^P\d+$/u.test(p) ? [{ p, trouble, seenBy, how }] : [];
  });

const namesIn = (text: string): readonly string[] => [...text.matchAll(/`([a-z-]+)`/gu)].map(([, name]) => name ?? "");

it("has a row for each trouble, in order, with a check or the reason why there is none", () => {
  expect(rows.map(({ p }) => p)).toEqual(Array.from({ length: 33 }, (_, index) => `P${index + 1}`));
  for (const { p, seenBy, how } of rows) {
    expect(how.length, p).toBeGreaterThan(20);
    if (namesIn(seenBy).length === 0) expect(["no check", "link"], p).toContain(seenBy);
  }
});

it("names only checks that exist, and every check that exists", () => {
  const named = new Set(rows.flatMap(({ seenBy }) => namesIn(seenBy)));
  expect([...named].toSorted()).toEqual(checkNames().toSorted());
});
