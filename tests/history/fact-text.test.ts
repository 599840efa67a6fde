import { describe, expect, it } from "vitest";
import { parseFact } from "../../src/history/fact-text.ts";
import { every, factOf } from "./facts.ts";

describe("a fact as text", () => {
  it("comes back as it was", () => {
    for (const told of every(6, [0.1, -0.2])) {
      const fact = factOf({ ...told, left: [0, 0], U: 0.05 });
      expect(parseFact(JSON.stringify(fact))).toEqual({ ok: true, value: fact });
    }
  });

  it("is refused when it is not whole", () => {
    const text = JSON.stringify(factOf({ date: "2026-01-01", found: [0, 0] }));
    for (const bad of [
      "",
      "{}",
      text.slice(0, -3),
      text.replaceAll("2026-01-01", "2026-02-30"),
      text.replace("rising", "sideways"),
    ]) {
      expect(parseFact(bad).ok, bad).toBe(false);
    }
  });
});
