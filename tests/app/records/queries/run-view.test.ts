import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { knownParts } from "../../../../src/app/known-parts.ts";
import { compareRuns } from "../../../../src/app/records/queries/compare-runs.ts";
import { errorPlot } from "../../../../src/app/records/queries/error-plot.ts";
import { type RunView, viewRun } from "../../../../src/app/records/queries/run-view.ts";
import { openSqlite } from "../../../../src/app/records/sqlite-file.ts";
import type { RecordDatabase } from "../../../../src/app/records/tables.ts";
import { define as compare } from "../../../../src/cli/commands/compare.ts";
import { define as find } from "../../../../src/cli/commands/find.ts";
import { define as show } from "../../../../src/cli/commands/show.ts";
import { EXIT } from "../../../../src/cli/exit-codes.ts";
import { runCommand } from "../../../cli/in-process.ts";
import { must } from "../../practice-job.ts";
import { type PracticeRun, practiceRun } from "../practice-runs.ts";
import { keepMadeUp, madeUpStore } from "../shared-shop.ts";

const folder = mkdtempSync(join(tmpdir(), "stillpoint-view-"));
const path = join(folder, "records.sqlite");
let db: RecordDatabase;
let first: PracticeRun;
let second: PracticeRun;

beforeAll(async () => {
  ({ db } = await madeUpStore(path, [1, 2]));
  first = await practiceRun("20261125-0900-HC15");
  second = await practiceRun("20261125-1400-HC15", { seed: 5, converter: { zero_error: 0.4 } });
  await keepMadeUp(db, [first, second]);
  await db.insertInto("events").values({ run_id: "open-run", seq: 1, body: "{}", hash: "x" }).execute();
});
afterAll(async () => {
  await db.destroy();
  rmSync(folder, { recursive: true, force: true });
});

const view = async (named: string): Promise<RunView> => must(await viewRun(db, named, knownParts()));

describe("the view of a run", () => {
  it("works out from the events what the run itself said, point by point", async () => {
    const { stages, record } = await view(first.run.run_id);
    expect(record.simulated).toBe(true);
    for (const [stage, said] of [
      ["as-found", first.outcome.asFound],
      ["as-left", first.outcome.asLeft],
    ] as const) {
      if (said === null) throw new Error("a stage is missing");
      const seen = stages.find((s) => s.stage === stage)?.result;
      expect(seen?.analysis.points).toEqual(must(said).analysis.points);
      expect(seen?.verdict).toEqual(must(said).verdict);
    }
  });

  it("is found by the beginning of its name, when that is of one run only", async () => {
    expect((await view("20261125-09")).whole.run.run_id).toBe(first.run.run_id);
    const message = async (named: string): Promise<string> => {
      const result = await viewRun(db, named, knownParts());
      return result.ok ? "" : result.fault.message;
    };
    expect(await message("20261125")).toBe(
      `"20261125" is the beginning of more than one run: ${first.run.run_id}, ${second.run.run_id}.`,
    );
    expect(await message("nowhere")).toBe('There is no run "nowhere".');
    expect(await message("open")).toBe("Run open-run has not ended.");
  });

  it("is refused when its chain is not whole", async () => {
    const file = openSqlite(path);
    file.exec("drop trigger events_no_update");
    const bend = file.prepare(
      "update events set body = replace(body, 'A. Technician', 'A. Technicien') where run_id = ? and seq = 1",
    );
    bend.run(second.run.run_id);
    const result = await viewRun(db, second.run.run_id, knownParts());
    expect(result).toMatchObject({ ok: false, fault: { code: "record-damaged" } });
    file
      .prepare("update events set body = replace(body, 'A. Technicien', 'A. Technician') where run_id = ? and seq = 1")
      .run(second.run.run_id);
    file.close();
    expect((await view(second.run.run_id)).whole.run.run_id).toBe(second.run.run_id);
  });
});

describe("two runs against each other", () => {
  it("differ by nothing from themselves", async () => {
    const one = await view(first.run.run_id);
    const { points, same_unit, same_range } = compareRuns(one, one);
    expect([same_unit, same_range]).toEqual([true, true]);
    expect(points).toHaveLength(18);
    for (const p of points) expect(p).toMatchObject({ difference_percent_span: 0, beyond_uncertainty: false });
  });

  it("differ by what was built into them: a zero that stands 0.8 % of span lower, and the other way round", async () => {
    const [one, two] = [await view(first.run.run_id), await view(second.run.run_id)];
    const found = compareRuns(one, two).points.filter((p) => p.stage === "as-found");
    expect(found).toHaveLength(9);
    const back = compareRuns(two, one).points.filter((p) => p.stage === "as-found");
    for (const [i, p] of found.entries()) {
      // The simulated zero of the example is 1.2 % of span.
      expect(p.difference_percent_span).toBeCloseTo(-0.8, 1);
      expect(p.beyond_uncertainty).toBe(true);
      expect(back[i]?.difference_percent_span).toBeCloseTo(-(p.difference_percent_span ?? 0), 12);
    }
  });
});

describe("error against input in plain characters", () => {
  it("puts each point at its place, and both marks of one place together", () => {
    const points = [
      { x: 0, y: 1, mark: "o" },
      { x: 100, y: -1, mark: "x" },
      { x: 50, y: 0, mark: "o" },
      { x: 50, y: 0, mark: "x" },
    ];
    const lines = errorPlot(
      points,
      [
        { x: 0, limit: 0.5 },
        { x: 100, limit: 0.5 },
      ],
      51,
    );
    expect(lines).toHaveLength(16);
    const at = (mark: string) =>
      lines.flatMap((line, row) => [...line].flatMap((c, column) => (c === mark && column > 8 ? [[row, column]] : [])));
    expect(at("o")).toEqual([[1, 10]]);
    expect(at("x")).toEqual([[13, 50]]);
    expect(at("*")).toEqual([[7, 30]]);
    expect(new Set(at("=").map(([row]) => row))).toEqual(new Set([4, 10]));
    expect(errorPlot([], [])).toEqual([]);
  });
});

describe("the commands", () => {
  const records = ["--records", path, "--store", join(folder, "none")];

  it("mark what is simulated, everywhere", async () => {
    for (const [define, args] of [
      [find, ["hc15"]],
      [show, [first.run.run_id]],
      [compare, [first.run.run_id, second.run.run_id]],
    ] as const) {
      const plain = await runCommand(define, [...args, ...records]);
      expect(plain.code).toBe(EXIT.success);
      expect(plain.out).toMatch(/SIMULATED/u);
      const json = await runCommand(define, [...args, "--json", ...records]);
      expect(json.out).toMatch(/"simulated":true/u);
      expect(JSON.parse(json.out)).toMatchObject({ format: expect.stringMatching(/^stillpoint-\w+ 1$/u) });
    }
  });

  it("find: lists the newest first, and real runs are not marked", async () => {
    const { out } = await runCommand(find, records);
    const lines = out.trimEnd().split("\n");
    expect(lines).toHaveLength(6);
    expect(lines.at(-1)).toBe("4 runs.");
    expect(lines.filter((line) => line.startsWith("SIMULATED"))).toHaveLength(2);
    expect((await runCommand(find, ["nobody", "has", "this", ...records])).out).toBe("No run.\n");
  });

  it("find --reference: says what rests on it", async () => {
    const { out } = await runCommand(find, ["--reference", "SIM-GAUGE-1", ...records]);
    expect(out).toContain("2 runs.");
    expect(out).toContain("No certificate rests on SIM-GAUGE-1 in these runs.");
  });

  it("show: who, what, instruments, verdicts, every point, departures, plot", async () => {
    const { out } = await runCommand(show, ["20261125-09", "--plot", ...records]);
    for (const wanted of [
      /^SIMULATED\n/u,
      /HC-15, serial HC15-20431, tag PV-114/u,
      /as found FAIL, as left PASS/u,
      /by A\. Technician, station station-1/u,
      /gauge +SIMULATED instruments .* serial SIM-GAUGE-1\n +certificate \S+, due 20/u,
      /As found; errors in % of output span/u,
      /As left; errors in % of output span/u,
      /Departures from the plan/u,
      /o rising {2}x falling/u,
      /whole, \d+ events, head [0-9a-f]{64}/u,
    ]) {
      expect(out).toMatch(wanted);
    }
    expect(out.match(/^\d+ +(?:rising|falling) /gmu)).toHaveLength(18);
    for (const line of out.split("\n")) expect(line.length).toBeLessThanOrEqual(120);
  });

  it("compare: point by point, and what became of each verdict", async () => {
    const { out } = await runCommand(compare, [first.run.run_id, second.run.run_id, "--plot", ...records]);
    expect(out).toContain("fail -> pass");
    expect(out).toContain("beyond U");
    expect(out).toMatch(/Largest difference -0\.\d+ at/u);
  });

  it("say what is wrong in one fault: no file, no such run, an odd day", async () => {
    const none = await runCommand(find, ["--records", join(folder, "none.sqlite")]);
    expect(none).toMatchObject({ code: EXIT.wrongUse, talk: expect.stringContaining("none.sqlite is not there.") });
    const noRun = await runCommand(show, ["x", ...records]);
    expect(noRun).toMatchObject({ code: EXIT.wrongUse, talk: expect.stringContaining('There is no run "x".') });
    expect((await runCommand(find, ["--from", "yesterday", ...records])).talk).toContain("Write a day as YYYY-MM-DD.");
  });
});
