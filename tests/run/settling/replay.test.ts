import { describe, expect, it } from "vitest";
import { createRule } from "../../../src/run/settling/create-rule.ts";
import { type RecordedWait, replay } from "../../../src/run/settling/replay.ts";
import { STATES, verdictSentence } from "../../../src/run/settling/replay-words.ts";
import type { PointStart, SettlingRule, SettlingVerdict } from "../../../src/run/settling/settling-rule.ts";

const settled: SettlingVerdict = {
  kind: "settled",
  value: 50,
  u: 0.01,
  u_residual: 0.005,
  n_effective: 3,
  from_s: 101,
  to_s: 103,
};
const start: PointStart = { at_s: 100, from: 0, to: 50, role: "point" };

/** Says "settling" until it is shown 50, and writes down what it was shown. */
const witness = () => {
  const shown: (number | null)[] = [];
  const begun: PointStart[] = [];
  const rule: SettlingRule = {
    begin: (s) => begun.push(s),
    take: ({ value }) => {
      shown.push(value);
      return value === 50 ? settled : { kind: "settling", expected_s: 4, confidence: 0.3 };
    },
    learned: () => [`shown ${shown.length}`],
  };
  return { rule, shown, begun };
};
const wait = (values: readonly (number | null)[], from_s = 99): RecordedWait => ({
  start,
  samples: values.map((value, i) => ({ time_s: from_s + i, value })),
});

describe("replay", () => {
  it("shows the rule what came after the command, up to its last word, and nothing else", () => {
    const { rule, shown, begun } = witness();
    const [one] = replay(rule, [wait([1, 2, null, 50, 50, 60])]);
    expect(begun).toEqual([start]);
    expect(shown).toEqual([2, null, 50]);
    expect(one?.moments.map((m) => m.verdict?.kind ?? null)).toEqual([
      null,
      "settling",
      "settling",
      "settled",
      null,
      null,
    ]);
    expect(one?.moments.map((m) => m.t_s)).toEqual([-1, 0, 1, 2, 3, 4]);
    expect(one).toMatchObject({ final: settled, decided_s: 2 });
  });

  it("has no verdict when the samples end first, also when there are none", () => {
    expect(replay(witness().rule, [wait([1, 2, 3])])[0]).toMatchObject({ final: null, decided_s: null });
    expect(replay(witness().rule, [wait([])])[0]).toMatchObject({ final: null, moments: [] });
  });

  it("keeps what the rule learned from one wait to the next", () => {
    const replayed = replay(witness().rule, [wait([1, 2, 50]), wait([3, 50])]);
    expect(replayed.map((r) => r.learned)).toEqual([["shown 2"], ["shown 3"]]);
  });

  it("gives the verdict that the rule itself gives on the same samples", () => {
    const choice = { rule: "band", band_percent: 0.05, window_s: 3, timeout_s: 60 } as const;
    const samples = Array.from({ length: 200 }, (_, i) => ({
      time_s: 100 + i / 5,
      value: 50 - 50 * Math.exp(-i / 5) + 0.002 * (i % 3),
    }));
    const rule = createRule(choice);
    rule.begin(start);
    const alone = samples.map((s) => rule.take(s)).find((v) => v.kind === "settled");
    expect(replay(createRule(choice), [{ start, samples }])[0]?.final).toEqual(alone);
    expect(alone?.kind).toBe("settled");
  });
});

describe("the words for what a rule says", () => {
  it("have a letter of their own each", () => {
    const letters = Object.values(STATES).map((s) => s.letter);
    expect(new Set(letters).size).toBe(letters.length);
  });
  it.each<[SettlingVerdict, string]>([
    [settled, "settled after 3.0 s: 50.000 % of span, mean of the readings from 1.0 s to 3.0 s"],
    [{ kind: "hunting", centre: 50, amplitude: 0.4, period_s: 6 }, "0.400 % of span to either side of 50.000"],
    [{ kind: "drifting", rate_per_min: 0.3 }, "0.300 % of span a minute; no reading is taken"],
    [{ kind: "not-settled", waited_s: 180 }, "not settled in 180 s"],
    [{ kind: "no-new-data", for_s: 5 }, "no new data from the gauge for 5.0 s"],
    [{ kind: "moving", expected_s: null, confidence: 0 }, "still moving after 3.0 s"],
    [{ kind: "settling", expected_s: 2, confidence: 0.5 }, "still settling after 3.0 s"],
  ])("%o", (verdict, words) => expect(verdictSentence(verdict, 3, 100)).toContain(words));
});
