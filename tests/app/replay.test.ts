import { SaxesParser } from "saxes";
import { beforeAll, describe, expect, it } from "vitest";
import {
  type Replay,
  readSource,
  replaySource,
  type ShownWait,
  settlingText,
  waitNumbered,
} from "../../src/app/replay.ts";
import { replayPlot } from "../../src/app/replay-plot.ts";
import { replaySvg } from "../../src/app/replay-svg.ts";
import { replayListText, replayWaitText } from "../../src/app/replay-text.ts";
import { plotWindow, tickDigits, ticks } from "../../src/app/replay-window.ts";
import { runVirtualJob } from "../../src/app/virtual-job.ts";
import { must, practiceJob } from "./practice-job.ts";

/** A trace at 5 Hz for 120 s: first-order, with a small ripple that no digit repeats. */
const trace = (
  more: Readonly<Record<string, unknown>> = {},
  output = (t: number) => 50 - 25 * Math.exp(-t),
): string => {
  const sample_times_s = Array.from({ length: 600 }, (_, i) => i / 5);
  return JSON.stringify({
    id: "keg-1",
    plant: "keg",
    seq: 1,
    role: "point",
    from: 25,
    setpoint: 50,
    resolution: 0.001,
    sample_times_s,
    readings: sample_times_s.map((t, i) => Number((output(t) + 0.003 * Math.sin(7 * i * i)).toFixed(3))),
    ...more,
  });
};
const replayed = (text: string, rule?: Parameters<typeof replaySource>[1]): Replay =>
  replaySource(must(readSource(text, "file")), rule);
const first = (replay: Replay): ShownWait => must(waitNumbered(replay, 1));

describe("a trace file", () => {
  it("is replayed with the detector and its usual figures when nothing else is said", () => {
    const replay = replayed(trace());
    expect(replay.settling).toMatchObject({ rule: "detector", limit_percent: 0.05 });
    const { replayed: one } = first(replay);
    expect(one.final?.kind).toBe("settled");
    expect(one.final?.kind === "settled" && Math.abs(one.final.value - 50)).toBeLessThan(0.05);
    expect(one.decided_s).toBeLessThan(30);
  });

  it.each([
    ["fixed-dwell", 60, 60.3],
    ["band", 8, 20],
    ["slope", 8, 60],
  ] as const)("with %s", (rule, soonest, latest) => {
    const { replayed: one } = first(replayed(trace(), rule));
    expect(one.final?.kind).toBe("settled");
    expect(one.decided_s).toBeGreaterThanOrEqual(soonest);
    expect(one.decided_s).toBeLessThan(latest);
  });

  it("puts the lines of a unit in their order and begins a new rule with each unit", () => {
    const lines = [
      trace({ seq: 2, id: "b" }),
      trace({ seq: 0, id: "a", role: "exercise" }),
      trace({ plant: "other", seq: 0, id: "c" }),
    ];
    const replay = replayed(lines.join("\n"));
    expect(replay.waits.map(({ number, wait }) => [number, wait.start.role, wait.name.slice(0, 1)])).toEqual([
      [1, "exercise", "a"],
      [2, "point", "b"],
      [3, "point", "c"],
    ]);
    const alone = replayed(lines[2] ?? "");
    expect(replay.waits[2]?.replayed).toEqual(first(alone).replayed);
  });

  it("that knows its truth is made up, and says so everywhere", () => {
    const truth = { ref_lo: 49.99, ref_hi: 50.01, settles: true, p_inf: 50 };
    const made = replayed(trace({ truth }));
    expect(made.simulated).toBe(true);
    expect(replayWaitText(made, first(made))).toMatch(/^.*\nSIMULATED/u);
    expect(replayListText(made)).toMatch(/^SIMULATED/u);
    expect(replaySvg(made, first(made))).toContain(">SIMULATED<");
    expect(replayWaitText(made, first(made))).toContain("the reading is 0.0");
    const real = replayed(trace());
    expect(replayWaitText(real, first(real)) + replayListText(real) + replaySvg(real, first(real))).not.toContain(
      "SIMULATED",
    );
  });

  it.each([
    ["no JSON", "hello", "line 1, is no trace"],
    ["a missing field", trace({ from: undefined }), "from"],
    ["times without readings", trace({ readings: [1] }), "as many times as readings"],
    ["nothing", "\n", "is empty"],
  ])("is refused: %s", (_name, text, says) => {
    const source = readSource(text, "bad.jsonl");
    expect(source.ok).toBe(false);
    if (!source.ok) expect(source.fault.message).toContain(says);
  });
});

describe("the plot for a terminal", () => {
  it.each([60, 80, 132])("keeps inside %i columns", (width) => {
    const replay = replayed(trace());
    for (const line of replayPlot(first(replay), 0.05, width)) expect(line.length).toBeLessThanOrEqual(width);
    for (const line of [replayWaitText(replay, first(replay), width), replayListText(replay, Math.max(80, width))]
      .join("\n")
      .split("\n"))
      expect(line.length).toBeLessThanOrEqual(Math.max(80, width));
  });

  it("has the letters of what was said, in order, under the time they were said at", () => {
    const lines = replayPlot(first(replayed(trace())), 0.05);
    const row = (name: string): string => lines.find((l) => l.trimStart().startsWith(`${name} |`))?.slice(10) ?? "";
    expect(row("state")).toMatch(/^m+s+R$/u);
    expect(row("sure").length).toBe(row("state").length - 1);
    const text = lines.join("\n");
    expect(text).toContain("t, s");
    expect(text).toMatch(/o/u);
    expect(text).toContain("R settled, reading taken at");
  });

  it("names hunting and drifting, and takes no reading then", () => {
    const hunts = replayed(trace({}, (t) => 50 - 25 * Math.exp(-t) + 0.5 * Math.sin(t)));
    expect(replayWaitText(hunts, first(hunts))).toMatch(/Verdict: hunting, said after/u);
    const drifts = replayed(trace({}, (t) => 50 - 25 * Math.exp(-t) + (0.6 * t) / 60));
    const text = replayWaitText(drifts, first(drifts));
    expect(text).toMatch(/Verdict: drifting, said after/u);
    expect(text).toMatch(/state \|m+s+D\n/u);
  });

  it("stands polls without an answer, one sample and none", () => {
    for (const samples of [
      [[0, null]],
      [[0, 50]],
      [],
      [
        [0, null],
        [1, 50],
        [2, null],
      ],
    ] as const) {
      const replay = replayed(trace({ sample_times_s: samples.map(([t]) => t), readings: samples.map(([, v]) => v) }));
      const text = replayWaitText(replay, first(replay)) + replaySvg(replay, first(replay));
      expect(text).toContain("No verdict: the samples end");
      expect(text).not.toMatch(/NaN|Infinity/u);
    }
  });
});

describe("the drawing", () => {
  it("is well-formed XML without colour, with units at its axes", () => {
    const replay = replayed(trace({ id: 'keg <1> & "2"' }));
    const svg = replaySvg(replay, first(replay));
    new SaxesParser().write(svg).close();
    for (const [, colour = ""] of svg.matchAll(/(?:fill|stroke)="(#[0-9a-f]+)"/gu)) {
      const digits = colour.length === 4 ? [...colour.slice(1)] : (colour.slice(1).match(/../gu) ?? []);
      expect(new Set(digits).size).toBe(1);
    }
    expect(svg).toContain("Output, % of span");
    expect(svg).toContain("time since the last command, s");
    expect(svg).toContain("keg &lt;1&gt; &amp;");
    expect(svg).not.toMatch(/NaN|Infinity/u);
  });
});

describe("the window of a plot", () => {
  it("shows what came after the verdict, and the near view lies around the reading", () => {
    const shown = first(replayed(trace()));
    const { to_s, near } = plotWindow(shown, 0.05);
    expect(to_s).toBeGreaterThan(shown.replayed.decided_s ?? 999);
    expect(near.high - near.low).toBeCloseTo(0.3, 9);
  });
  it("has round ticks that can be told apart", () => {
    expect(ticks({ low: 0, high: 10 }, 5)).toEqual([0, 2, 4, 6, 8, 10]);
    expect(ticks({ low: 39.87, high: 40.13 }, 3)).toEqual([39.9, 40, 40.1]);
    expect(tickDigits([39.9, 40])).toBe(1);
    expect(tickDigits([0, 20])).toBe(0);
    expect(tickDigits([])).toBe(0);
  });
});

describe("a run record", () => {
  let lines: string[];
  beforeAll(async () => {
    lines = [];
    const keep = (line: string): null => {
      lines.push(`${line}\n`);
      return null;
    };
    must(
      await runVirtualJob(practiceJob({}, { adjust: "never", plan: { points: 3 } }), {
        run_id: "practice",
        utc_zero_ms: 0,
        keep,
      }),
    );
  });

  it("gives a wait for each point, with the step that led to it and what was said in the run", () => {
    const replay = replayed(lines.join(""));
    expect(replay.simulated).toBe(true);
    expect(replay.settling).toMatchObject({ rule: "detector", gamma: 0.15 });
    expect(replay.waits.map(({ wait }) => [wait.name, wait.start.from, wait.start.to])).toEqual([
      ["exercise to 0 %", 100, 0],
      ["exercise to 100 %", 0, 100],
      ["exercise to 0 %", 100, 0],
      ["as found 1, 0 % rising", expect.closeTo(0, 9), 0],
      ["as found 2, 50 % rising", expect.closeTo(0, 9), 50],
      ["as found 3, 100 % rising", expect.closeTo(50, 9), 100],
      ["as found 4, 50 % falling", expect.closeTo(100, 9), 50],
      ["as found 5, 0 % falling", expect.closeTo(50, 9), 0],
    ]);
    expect(replay.remarks).toEqual([]);
    const text = replayWaitText(replay, must(waitNumbered(replay, 5)));
    expect(text).toMatch(/In the run itself: settled after \d+\.\d s\./u);
  });

  it.each([
    ["the detector, with all it had learned", undefined],
    ["a rule that learns nothing", { rule: "band", band_percent: 0.05, window_s: 4, timeout_s: 60 } as const],
  ])("comes to the same verdict at the same sample for %s", async (_title, settling) => {
    const kept: string[] = [];
    const job = practiceJob({}, { adjust: "never", plan: { points: 3, ...(settling && { settling }) } });
    const keep = (line: string): null => {
      kept.push(`${line}\n`);
      return null;
    };
    const { record } = must(await runVirtualJob(job, { run_id: "practice", utc_zero_ms: 0, keep }));
    const replay = replayed(kept.join(""));
    const points = record.stages[0]?.points ?? [];
    expect(points).toHaveLength(5);
    expect(replay.remarks).toEqual([]);
    for (const [i, point] of points.entries()) {
      const waits = replay.waits.filter(({ wait }) => wait.start.role === "point");
      const { final, decided_s } = waits[i]?.replayed ?? {};
      expect(decided_s).toBeCloseTo(point.settle_time_s, 3);
      expect(final?.kind === "settled" && final.value).toBeCloseTo(Number(point.verdict.said["value"]), 6);
    }
  });

  it("is refused when it is damaged", () => {
    const source = readSource(lines.filter((_, i) => i !== 3).join(""), "torn.record.jsonl");
    expect(source.ok).toBe(false);
    if (!source.ok) expect(source.fault.kind).toBe("record");
  });
});

describe("the rule in words", () => {
  it("gives every figure its unit", () => {
    expect(settlingText({ rule: "slope", slope_percent_per_min: 0.3, window_s: 10, timeout_s: 180 })).toBe(
      "slope (slope 0.3 % of span a minute, window 10 s, timeout 180 s)",
    );
  });
});
