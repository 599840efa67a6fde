import { describe, expect, it } from "vitest";
import { parseUseReadings } from "../../src/app/use-readings.ts";

describe("readings of an hour meter", () => {
  it("come in any order, and the header says what is counted", () => {
    expect(parseUseReadings("\uFEFFdate,hours\r\n2026-07-01,1200.5\r\n\r\n2026-01-01,0\r\n", "use.csv")).toEqual({
      ok: true,
      value: {
        unit: "hours",
        readings: [
          { date: "2026-01-01", count: 0 },
          { date: "2026-07-01", count: 1200.5 },
        ],
      },
    });
  });

  it.each([
    ["", "use.csv:1 "],
    ["2026-01-01,5\n", "use.csv:1 "],
    ["date,hours\n2026-02-30,5\n", "use.csv:2 "],
    ["date,hours\n2026-02-20,\n", "use.csv:2 "],
    ["date,hours\n2026-02-20,-1\n", "use.csv:2 "],
    ["date,hours\n2026-02-20,1\n2026-02-20,2\n", "use.csv:3 "],
    ["date,hours\n2026-02-20,5\n2026-03-20,4\n", "goes back on 2026-03-20"],
  ])("%j is refused with its place", (text, place) => {
    const read = parseUseReadings(text, "use.csv");
    expect(read.ok).toBe(false);
    expect(!read.ok && read.fault.message).toContain(place);
  });
});
