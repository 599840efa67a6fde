import { describe, expect, it } from "vitest";
import { define } from "../../src/cli/commands/decide.ts";
import { EXIT } from "../../src/cli/exit-codes.ts";
import { caseOf, inTolerances, publishedCases } from "../uncertainty/published-cases.ts";
import { runCommand } from "./in-process.ts";
import { writtenFiles } from "./written-file.ts";

const write = writtenFiles();
const decide = (...args: readonly string[]) => runCommand(define, args);
interface Item {
  readonly word: string;
  readonly acceptance: { readonly lower: number | string; readonly upper: number | string } | null;
  readonly specific_risk: number;
  readonly probability_outside: number;
  readonly tur: number | null;
  readonly tar: number | null;
  readonly certain: {
    readonly inside: { readonly up_to: number } | null;
    readonly outside: { readonly below: number; readonly above: number };
  } | null;
  readonly worst_consumer_risk: number | null;
  readonly worst_risk_at_reliability: number | null;
  readonly other_acceptance: { readonly method_6_multiplier: number } | null;
  readonly global: { readonly consumer: number; readonly producer: number; readonly conforming: number } | null;
}
const items = async (...args: readonly string[]): Promise<readonly Item[]> => {
  const { out, talk } = await decide(...args, "--json");
  expect(talk).toBe("");
  return (JSON.parse(out) as { readonly items: readonly Item[] }).items;
};
const one = async (...args: readonly string[]): Promise<Item> => {
  const [item] = await items(...args);
  if (item === undefined) throw new Error("nothing was decided");
  return item;
};
const LIMIT = ["--limit", "0.4", "--U", "0.1"];
const published = publishedCases("decision-cases");

describe("words on the boundaries: limit 0.4, U 0.1", () => {
  it.each([
    ["simple", ["0.4", "pass"], ["0.4000001", "fail"]],
    ["guarded", ["0.3", "pass"], ["0.3000001", "fail"], ["-0.3", "pass"], ["-0.3000001", "fail"]],
    ["guarded 0.5", ["0.35", "pass"], ["0.3500001", "fail"]],
    ["guarded -1", ["0.5", "pass"], ["0.5000001", "fail"]],
    ["four-words", ["0.3", "pass"], ["0.4", "conditional-pass"], ["0.5", "conditional-fail"], ["0.5000001", "fail"]],
  ] as const)("%s", async (rule, ...rows) => {
    for (const [error, word] of rows) {
      expect((await one(`--error=${error}`, ...LIMIT, "--rule", rule)).word, error).toBe(word);
    }
  });

  it("U larger than the limit leaves no statement; U as large as the limit accepts an error of zero", async () => {
    const wide = await one("--error", "0", "--limit", "0.4", "--U", "0.41", "--rule", "guarded");
    expect(wide).toMatchObject({ word: "no-statement", acceptance: null });
    const even = await one("--error", "0", "--limit", "0.4", "--U", "0.4", "--rule", "guarded");
    expect(even).toMatchObject({ word: "pass", acceptance: { lower: 0, upper: 0 } });
  });

  it("the exit code tells, and the words say the convention", async () => {
    const good = await decide("--error", "0.3", ...LIMIT, "--rule", "guarded");
    expect(good.code).toBe(EXIT.success);
    expect(good.out).toContain("-0.3 to 0.3, both included");
    expect(good.out).toContain("An error exactly on a limit is within it");
    expect((await decide("--error", "0.31", ...LIMIT, "--rule", "guarded")).code).toBe(EXIT.outOfTolerance);
  });
});

describe("published decisions through the command (JCGM 106:2012)", () => {
  const near = (id: string, key: string, got: number) =>
    expect(inTolerances(caseOf(published, id), key, got), `${id} ${key}: got ${got}`).toBeLessThanOrEqual(1);

  it("7.3.3: one limit", async () => {
    const { TU, y, u } = caseOf(published, "106-7.3-zener").inputs;
    const item = await one(`--error=${y}`, `--upper=${TU}`, `--u=${u}`, "--rule", "simple");
    near("106-7.3-zener", "pc", 1 - item.probability_outside);
    expect(item).toMatchObject({ word: "pass", tur: null, acceptance: { lower: "-infinite", upper: TU } });
  });

  it("7.4: two limits that are not about zero", async () => {
    const { TL, TU, y, u } = caseOf(published, "106-7.4-two-sided").inputs;
    const item = await one(`--error=${y}`, `--lower=${TL}`, `--upper=${TU}`, `--u=${u}`, "--rule", "simple");
    near("106-7.4-two-sided", "pc", 1 - item.probability_outside);
  });

  it("8.3.2: at the limit less 2u, on either side", async () => {
    for (const args of [
      ["--error=98", "--upper=100"],
      ["--error=2", "--lower=0"],
    ]) {
      const item = await one(...args, "--u=1", "--rule", "guarded");
      expect(item.word).toBe("pass");
      near("106-8.3.2-guard", "max_specific_false_accept", item.specific_risk);
    }
  });

  it("9.5: global risks of resistors, with a guard band of a quarter of U", async () => {
    const { y0, u0, um, TL, TU } = caseOf(published, "106-9.5-resistors").inputs;
    const item = await one(
      `--error=${y0}`,
      `--lower=${TL}`,
      `--upper=${TU}`,
      `--u=${um}`,
      "--rule",
      "guarded 0.25",
      `--prior-sd=${u0}`,
    );
    near("106-9.5-resistors", "pc", item.global?.conforming ?? 0);
    near("106-9.5-resistors", "RC", item.global?.consumer ?? 0);
    near("106-9.5-resistors", "RP", item.global?.producer ?? 0);
  });
});

describe("one limit", () => {
  it("a target risk is met on the end of its zone and not beyond", async () => {
    const args = ["--upper=25", "--u=0.3", "--dof=9", "--rule", "target-risk 2 %"];
    const { acceptance } = await one("--error=20", ...args);
    const end = Number(acceptance?.upper);
    expect(await one(`--error=${end}`, ...args)).toMatchObject({
      word: "pass",
      specific_risk: expect.closeTo(0.02, 9),
    });
    expect((await one(`--error=${end + 1e-6}`, ...args)).word).toBe("fail");
  });

  it("a prior without its middle is refused, for the middle is not known", async () => {
    const { code, talk } = await decide("--error=1", "--upper=2", "--U=0.1", "--rule", "simple", "--prior-sd=1");
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain("--prior-mean");
  });
});

describe("units", () => {
  it("pressures of several units come to that of the error", async () => {
    const item = await one("--error", "1 kPa", "--limit", "0.5 psi", "--U", "1 mbar", "--rule", "guarded");
    expect(item.acceptance?.upper).toBeCloseTo(0.5 * 6.894757293168361 - 0.1, 12);
  });

  it.each([
    [
      "units that do not go together",
      ["--error", "1 mA", "--limit", "2 psi", "--U", "1 mA"],
      "--limit has psi, --error has mA",
    ],
    ["no unit against a unit", ["--error", "1", "--limit", "2 psi", "--U", "1"], "--error has none"],
    ["no uncertainty", ["--error", "1", "--limit", "2"], "The uncertainty is needed once"],
    ["two uncertainties", ["--error", "1", "--limit", "2", "--U", "1", "--u", "1"], "The uncertainty is needed once"],
    ["an uncertainty of nothing", ["--error", "1", "--limit", "2", "--U", "0"], "above 0"],
    ["no limit", ["--error", "1", "--U", "1"], "There is no limit"],
    ["limits twice", ["--error", "1", "--limit", "2", "--upper", "3", "--U", "1"], "The limits are given twice"],
    [
      "limits the wrong way round",
      ["--error", "1", "--lower", "3", "--upper", "2", "--U", "1"],
      "leave nothing between them",
    ],
    ["no value", ["--limit", "2", "--U", "1"], "There is no value"],
    ["no number", ["--error", "NaN", "--limit", "2", "--U", "1"], "is not a number"],
  ])("refused: %s", async (_name, args, says) => {
    const { code, talk, out } = await decide(...args, "--rule", "simple");
    expect(code).toBe(EXIT.wrongUse);
    expect(out).toBe("");
    expect(talk).toContain(says);
  });
});

describe("many values in a file", () => {
  it("decimal commas, names, one rule", async () => {
    const path = write("points.csv", "name;error;limit;U;k\np1;0,3;0,4;0,1;2\np2;0,45;0,4;0,1;2\np3;0;0,4;0,5;2\n");
    expect((await items(path, "--rule", "four-words")).map((i) => i.word)).toEqual([
      "pass",
      "conditional-fail",
      "no-statement",
    ]);
    const { out, code } = await decide(path, "--rule", "four-words");
    expect(code).toBe(EXIT.outOfTolerance);
    expect(out).toMatch(/^p2 +0\.45 +-0\.4 to 0\.4 +0\.1 +-0\.3 to 0\.3 +conditional fail/mu);
  });

  it("one limit a row, and a prior for all", async () => {
    const path = write("upper.csv", "# stillpoint-decisions 1\nerror,upper,U\n0.5,1,0.2\n");
    const [item] = await items(path, "--rule", "simple", "--prior-sd", "0.4", "--prior-mean", "0");
    expect(item?.global?.consumer).toBeGreaterThan(0);
  });

  it.each([
    ["no U", "error,limit\n1,2\n", 'the column "U" is missing'],
    ["no limit", "error,U\n1,2\n", "limits are needed in one way"],
    ["a limit of nothing", "error,limit,U\n1,0,2\n", "leave no room"],
    ["a word", "error,limit,U\nabout 1,2,0.1\n", 'error is "about 1"'],
    ["nothing", "error,limit,U\n", "there are no values"],
  ])("refused: %s", async (_name, text, says) => {
    const { code, talk } = await decide(write("bad.csv", text), "--rule", "simple");
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain(says);
  });

  it("refused: a file and numbers", async () => {
    const { code, talk } = await decide(write("x.csv", "error,limit,U\n1,2,1\n"), "--error", "1", "--rule", "simple");
    expect(code).toBe(EXIT.wrongUse);
    expect(talk).toContain("does not go with a file");
  });
});

describe("what else the numbers allow to be said", () => {
  it("an uncertainty that goes with the value (JCGM 106:2012, 8.3.3: speed of 100 at 2 %, 99.9 % certain)", async () => {
    const item = await one(
      ...["--error", "105", "--upper", "100", "--u", "2 %value"],
      "--rule",
      "simple",
      "--certainty",
      "99.9 %",
    );
    expect(item.certain?.outside.above).toBeCloseTo(106.588, 3);
    expect(item.certain?.inside?.up_to).toBeCloseTo(100 / (1 + 0.02 * 3.090232306), 6);
  });

  it("certain zones are as wide as U, and empty where there is no room", async () => {
    const args = [
      "--error",
      "0",
      "--limit",
      "1",
      "--u",
      "0.1",
      "--rule",
      "simple",
      "--certainty",
      "97.72498680518208 %",
    ];
    const { certain } = await one(...args);
    expect(certain?.inside?.up_to).toBeCloseTo(0.8, 9);
    expect(certain?.outside).toEqual({ below: expect.closeTo(-1.2, 9), above: expect.closeTo(1.2, 9) });
    const wide = await one("--error", "0", "--limit", "1", "--u", "1", "--rule", "simple", "--certainty", "99 %");
    expect(wide.certain?.inside).toBeNull();
  });

  it("ratios, and the multiplier of method 6 (ANSI/NCSL Z540.3 handbook, from memory)", async () => {
    const item = await one(
      ...["--error", "0", "--limit", "0.16", "--U", "0.04", "--standard-limit", "0.04", "--rule", "simple"],
    );
    expect([item.tur, item.tar]).toEqual([4, 4]);
    expect(item.other_acceptance?.method_6_multiplier).toBeCloseTo(0.0531, 4);
  });

  it("the global risk that an observed reliability leaves (computed from the rule, from memory)", async () => {
    const item = await one(
      ...["--error", "0", "--limit", "1", "--U", "0.25"],
      "--rule",
      "simple",
      "--observed-reliability",
      "89 %",
    );
    expect(item.worst_risk_at_reliability).toBeCloseTo(0.0195, 3);
    expect(item.worst_consumer_risk).toBeCloseTo(0.0224, 3);
  });

  it("a file may hold standard uncertainties", async () => {
    const [item] = await items(write("u.csv", "error,limit,u\n0.3,0.4,0.05\n"), "--rule", "guarded");
    expect(item).toMatchObject({ word: "pass", U: 0.1 });
    const both = await decide(write("u.csv", "error,limit,u,U\n0.3,0.4,0.05,0.1\n"), "--rule", "guarded");
    expect([both.code, both.talk.includes("columns U and u")]).toEqual([EXIT.wrongUse, true]);
  });

  it.each([
    [["--u", "2 %value", "--error", "0", "--upper", "1"], "is no share of the value"],
    [["--u", "0.1", "--error", "0", "--upper", "1", "--standard-limit", "-1"], "The limit of the standard is above 0"],
  ] as const)("refuses %j", async (args, told) => {
    const { code, talk } = await decide(...args, "--rule", "simple");
    expect([code, talk.includes(told)]).toEqual([EXIT.wrongUse, true]);
  });
});
