import { describe, expect, it } from "vitest";
import { passLine, shipAgain } from "../../../src/app/records/ship-again.ts";
import type { Shipped } from "../../../src/app/records/ship-store.ts";
import { fault } from "../../../src/vocabulary/fault.ts";

const NOTHING: Shipped = {
  sent: 0,
  already_there: 0,
  waiting: 0,
  ledger_entries: 0,
  certificate_acts: 0,
  refused: [],
  stopped_by: null,
};
const away: Shipped = {
  ...NOTHING,
  waiting: 2,
  stopped_by: { passing: true, fault: fault("communication", "line-lost", "It does not answer.") },
};

/** Passes that are given one after the other; the signal comes after the last. */
const played = async (passes: readonly Shipped[]) => {
  const abort = new AbortController();
  const waits: number[] = [];
  const lines: string[] = [];
  let n = 0;
  const last = await shipAgain(
    async () => {
      const pass = passes[n] ?? NOTHING;
      n += 1;
      if (n === passes.length) abort.abort();
      return pass;
    },
    {
      signal: abort.signal,
      wait: async (s) => {
        waits.push(s);
      },
      say: (line) => lines.push(line),
    },
  );
  return { waits, lines, last, passes: n };
};

describe("shipping again and again", () => {
  it("waits twice as long after each failure, up to a minute, and says the trouble once", async () => {
    const { waits, lines } = await played(Array.from({ length: 10 }, () => away));
    expect(waits).toEqual([1, 2, 4, 8, 16, 32, 60, 60, 60]);
    expect(lines).toEqual(["It does not answer. 2 waiting here."]);
  });

  it("begins with short waits again when it went well, looks for new runs every five seconds, and tells the trouble anew", async () => {
    const { waits, lines } = await played([away, away, { ...NOTHING, sent: 2 }, NOTHING, away, NOTHING]);
    expect(waits).toEqual([1, 2, 5, 5, 1]);
    expect(lines).toEqual([
      "It does not answer. 2 waiting here.",
      "2 runs sent.",
      "It does not answer. 2 waiting here.",
    ]);
  });

  it("ends when waiting is of no use", async () => {
    const refused = { passing: false, fault: fault("refused", "not-allowed", "Wrong login.") };
    const { waits, lines, last, passes } = await played([{ ...NOTHING, stopped_by: refused }, NOTHING, NOTHING]);
    expect([waits, passes]).toEqual([[], 1]);
    expect(lines).toEqual(["Wrong login. 0 waiting here."]);
    expect(last.stopped_by).toBe(refused);
  });

  it("ends after the pass in which the signal came", async () => {
    expect((await played([{ ...NOTHING, sent: 1 }])).waits).toEqual([]);
  });

  it("says what a pass did", () => {
    expect(passLine(NOTHING)).toBeNull();
    expect(
      passLine({ ...NOTHING, sent: 1, already_there: 2, certificate_acts: 3, ledger_entries: 4, waiting: 5 }),
    ).toBe("1 run sent, 2 there already, 3 acts on certificates sent, 4 entries of the ledger sent, 5 waiting here.");
  });
});
