import { concat, delay, last, NEVER, switchMap, timer } from "rxjs";
import { describe, expect, it } from "vitest";
import { cueText, type TurnCue, turnCue } from "../../src/run/stages/adjusting-cue.ts";
import { kPa } from "../../src/vocabulary/quantities.ts";
import { runFake } from "./run-fake.ts";

const settings = {
  target_kPa: 60,
  within_kPa: 0.03,
  span_kPa: 80,
  lag_s: 1,
  vented_kPa: 0,
  asked_at_s: 0,
};
const samples = (output: (t: number) => number, until_s = 3) =>
  Array.from({ length: Math.round(until_s / 0.1) }, (_, i) => ({ at_s: 0.1 * (i + 1), kPa: output(0.1 * (i + 1)) }));

describe("turnCue", () => {
  const kindOf = (output: (t: number) => number, until_s?: number): TurnCue["kind"] | undefined =>
    turnCue(samples(output, until_s), settings)?.kind;

  it("says which way the output has to go", () => {
    expect(
      turnCue(
        samples(() => 58),
        settings,
      ),
    ).toMatchObject({ kind: "turn", way: "up" });
    expect(
      turnCue(
        samples(() => 61),
        settings,
      ),
    ).toMatchObject({ kind: "turn", way: "down" });
  });

  it("says to stop before the target is reached, by the lag of the output", () => {
    // A first-order output of 1 s on its way to 60: it will arrive without another turn.
    expect(kindOf((t) => 60 - 4 * Math.exp(-t))).toBe("wait");
    // On its way to 64 it is turned too far already, although the gauge still shows less than 60.
    expect(kindOf((t) => 64 - 8 * Math.exp(-t / 3), 1.5)).toBe("wait");
  });

  it("says other way when it runs off", () => {
    expect(kindOf((t) => 58 - 0.3 * t)).toBe("other-way");
  });

  it("says hand off on the target, and no effect after a while", () => {
    expect(kindOf(() => 60.01)).toBe("hand-off");
    expect(kindOf(() => 58, 25)).toBe("nothing-moves");
  });

  it("sees a unit that was unplugged", () => {
    expect(kindOf((t) => (t < 1 ? 58 : 0.1))).toBe("gone");
  });

  it("has words for each", () => {
    expect(cueText({ kind: "turn", way: "up", missing_kPa: 2 })).toBe("turn, output up: +2.000 kPa to go");
    expect(cueText({ kind: "nothing-moves", missing_kPa: 2, for_s: 21 })).toContain("wrong screw, or at its stop");
  });
});

describe("the hand at the screw", () => {
  it("is shown a cue with its readings while it turns", () => {
    const run = runFake({ fake: { zeroError: 1, spanError: -2 } }).flush();
    const cues = run.outputs.flatMap((o) => (o.type === "live" && o.live.kind === "turn-cue" ? [o.live.cue.kind] : []));
    expect(cues).toContain("turn");
  });

  it("is told to wait by the lag that was seen of this very unit", () => {
    // Three seconds of lag: a cue that looked one second ahead would go on asking for turns.
    const run = runFake({ fake: { zeroError: 3, tau_s: 3 } });
    const honest = run.bench.hand.turn;
    run.bench.hand.turn = (request) => honest(request).pipe(delay(9000, run.scheduler));
    run.flush();
    const asked = run.outputs.findIndex(
      (o) => o.type === "live" && o.live.kind === "turn-asked" && o.live.screw === "zero",
    );
    const from_s = (run.outputs[asked]?.at_s ?? 0) + 7;
    const cues = run.outputs.flatMap((o) =>
      o.type === "live" && o.live.kind === "turn-cue" && o.at_s > from_s && o.at_s < from_s + 3
        ? [o.live.cue.kind]
        : [],
    );
    expect(cues.length).toBeGreaterThan(5);
    expect(new Set(cues)).toEqual(new Set(["wait"]));
  });

  it("may walk away: the adjusting ends, as found stays frozen, and the source is left safe", () => {
    const hand = { turn: () => NEVER };
    const run = runFake({
      fake: { zeroError: 2 },
      request: { hand, policy: { hand_patience_s: 60 } },
    }).flush();
    expect(run.of("as-found-frozen")).toMatchObject([{ points: 5, missing: 0 }]);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "given-up" }]);
    expect(run.of("adjustment-ended")[0]?.why).toContain("nobody finished turning");
    expect(run.of("source-left")).toMatchObject([{ outcome: "safe" }]);
    expect(run.completed).toBe(true);
  });

  it("may unplug the unit: it is said, nothing recorded is lost, and the source is left safe", () => {
    let unplugged = false;
    const hand = {
      turn: () => {
        unplugged = true;
        return NEVER;
      },
    };
    const disturb = (_: number, commanded: number) => (unplugged ? -27 - commanded : 0);
    const run = runFake({ fake: { zeroError: 2, disturb }, request: { hand } }).flush();
    expect(run.of("hand-noticed")[0]?.what).toContain("fell to");
    expect(run.of("run-ended")[0]?.fault?.remedy).toContain("plugged in");
    expect(run.of("stage-completed").map((e) => e.stage)).toEqual(["as-found"]);
    expect(run.of("source-left")).toMatchObject([{ outcome: "safe" }]);
  });

  it("may turn the wrong screw: it is noticed, and both ends still come right", () => {
    // The fake's zero moves both ends alike, its span only the top; the hand turns zero when span is asked for, once.
    const run = runFake({ fake: { zeroError: 1, spanError: -2 } });
    const honest = run.bench.hand.turn;
    let turns = 0;
    run.bench.hand.turn = (request) => {
      turns += 1;
      return honest(turns === 3 ? { ...request, screw: "zero" } : request);
    };
    run.flush();
    expect(run.of("hand-noticed").map((e) => e.what)).toEqual([expect.stringContaining("acted like ZERO, not SPAN")]);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim" }]);
  });

  it("may turn both screws: it is noticed, and both ends still come right", () => {
    const run = runFake({ fake: { zeroError: 1, spanError: -2 } });
    const honest = run.bench.hand.turn;
    let turns = 0;
    run.bench.hand.turn = (request) => {
      turns += 1;
      if (turns !== 3) return honest(request);
      const { screw, target_kPa } = request;
      const other = screw === "zero" ? "span" : "zero";
      return concat(honest({ ...request, screw: other, target_kPa: kPa(target_kPa - 4) }), honest(request)).pipe(
        last(),
      );
    };
    run.flush();
    expect(run.of("hand-noticed").map((e) => e.what)).toEqual([expect.stringContaining("both were turned")]);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim" }]);
    expect(run.of("as-found-frozen")).toMatchObject([{ points: 5, missing: 0 }]);
  });

  it("may turn on while the output is on its way to the other end: it is noticed, and both ends still come right", () => {
    const run = runFake({ fake: { zeroError: 1, spanError: -2 } });
    const honest = run.bench.hand.turn;
    let turns = 0;
    run.bench.hand.turn = (request) => {
      turns += 1;
      // A slip at the zero screw once the hand was let off, before the other end is read.
      if (turns === 3) {
        const slip = { ...request, screw: "zero", target_kPa: kPa(request.target_kPa + 3) } as const;
        timer(6500, run.scheduler)
          .pipe(switchMap(() => honest(slip)))
          .subscribe();
      }
      return honest(request);
    };
    run.flush();
    expect(run.of("hand-noticed").length).toBeGreaterThan(0);
    expect(
      run
        .of("hand-noticed")
        .map((e) => e.what)
        .join(" "),
    ).toMatch(/both were turned|although no turn was asked/u);
    expect(run.of("adjustment-ended")).toMatchObject([{ outcome: "within-aim" }]);
    expect(run.of("as-found-frozen")).toMatchObject([{ points: 5, missing: 0 }]);
    expect(run.of("source-left")).toMatchObject([{ outcome: "safe" }]);
  });

  it("is not asked at all when no position of the screws can bring the unit within", () => {
    const run = runFake({
      fake: { zeroError: 2 },
      request: {
        prospect: () => ({
          found_percent: 2,
          best_percent: 0.8,
          limit_percent: 0.5,
          can_pass: false,
          wanted_lower_kPa: 20,
          wanted_upper_kPa: 100,
          words: "best attainable 0.80 % of span, tolerance 0.50 %",
          next: () => ({ kind: "done", why: "never asked", rounds: 0 }),
        }),
      },
    }).flush();
    expect(run.of("adjustment-outlook")).toHaveLength(1);
    expect(run.of("adjustment-ended")[0]).toMatchObject({ outcome: "impossible", rounds: 0 });
    expect(run.of("screw-turned")).toHaveLength(0);
    expect(run.of("stage-completed").map((e) => e.stage)).toEqual(["as-found"]);
  });
});
