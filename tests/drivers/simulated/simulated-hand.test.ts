import { concatMap, Subject, VirtualTimeScheduler } from "rxjs";
import { describe, expect, it } from "vitest";
import { settingsFromWishes, usualWishes } from "../../../drivers/simulated/bench-settings.ts";
import { createServiceHand, createVirtualHand, type TurnScrew } from "../../../drivers/simulated/simulated-hand.ts";
import { createVirtualBench } from "../../../drivers/simulated/virtual-bench.ts";
import type { Sampled, TurnOutcome } from "../../../src/ports/bench.ts";
import { kPa, mA, seconds } from "../../../src/vocabulary/quantities.ts";
import type { PressureReading } from "../../../src/vocabulary/reading.ts";
import { ok } from "../../../src/vocabulary/result.ts";

const SPAN = 80;
const within_kPa = kPa(0.04); // 0.05 % of span

const bad = settingsFromWishes({
  ...usualWishes,
  converter: { ...usualWishes.converter, zero_error: 1.5, span_error: -2, hysteresis: 0.1 },
});

const setUp = (seed = 1) => {
  const scheduler = new VirtualTimeScheduler();
  const bench = createVirtualBench({ ...bad, seed }, scheduler);
  const hand = createVirtualHand(bench.model, scheduler, { seed, span_kPa: SPAN });
  const outcomes: TurnOutcome[] = [];
  const turn = (screw: "zero" | "span", current: number, target: number): TurnOutcome | undefined => {
    const request = { screw, target_kPa: kPa(target), within_kPa, live$: bench.pressure$ };
    let done = false;
    bench
      .command(mA(current))
      .pipe(concatMap(() => hand.turn(request)))
      .subscribe({ next: (o) => outcomes.push(o), complete: () => (done = true) });
    scheduler.flush();
    return done ? outcomes.at(-1) : undefined;
  };
  return { scheduler, bench, turn };
};

describe("simulated hand", () => {
  it("brings the pressure to the target, in a time a person needs", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const { bench, scheduler, turn } = setUp(seed);
      expect(turn("zero", 4, 20)).toEqual({ kind: "let-go" });
      bench.model.advanceTo(scheduler.now() / 1000 + 30);
      // What the hand saw was within 0.04 kPa; the rest of the lag and the noise come on top.
      expect(Math.abs(bench.model.truth().pressure_kPa - 20)).toBeLessThan(0.06);
      expect(scheduler.now() / 1000).toBeLessThan(90);
    }
  });

  it("can set both ends in turn, although the screws interplay", () => {
    const { bench, scheduler, turn } = setUp();
    for (let round = 0; round < 5; round++) {
      turn("zero", 4, 20);
      turn("span", 20, 100);
    }
    bench.model.advanceTo(scheduler.now() / 1000 + 30);
    expect(Math.abs(bench.model.truth().pressure_kPa - 100)).toBeLessThan(0.1);
    bench.model.source.set(4);
    bench.model.advanceTo(scheduler.now() / 1000 + 120);
    // A tenth of a per cent of hysteresis and what the last turn of the span moved at the zero.
    expect(Math.abs(bench.model.truth().pressure_kPa - 20)).toBeLessThan(0.2);
  });

  it("does the same again for the same seed", () => {
    const turned = () => {
      const { bench, turn } = setUp(7);
      turn("span", 20, 100);
      return bench.model.plant.screws();
    };
    expect(turned()).toEqual(turned());
  });

  it("gives up at the stop of the screw", () => {
    const { turn } = setUp();
    const outcome = turn("zero", 4, 45);
    expect(outcome?.kind).toBe("gave-up");
    expect(outcome?.kind === "gave-up" && outcome.reason).toMatch(/stop/u);
  });

  /** A hand at a screw that is turned by `turnScrew`, in front of a gauge that shows 21 kPa for ever, or nothing. */
  const atDeadGauge = (turnScrew: TurnScrew, feed: boolean): TurnOutcome | undefined => {
    const scheduler = new VirtualTimeScheduler();
    const live$ = new Subject<Sampled<PressureReading>>();
    const hand = createServiceHand(turnScrew, scheduler, { seed: 1, span_kPa: SPAN });
    let outcome: TurnOutcome | undefined;
    hand.turn({ screw: "zero", target_kPa: kPa(20), within_kPa, live$ }).subscribe((o) => {
      outcome = o;
    });
    for (let t = 0; feed && t < 60; t += 0.1) {
      scheduler.schedule(
        () => live$.next(ok({ value: { kPa: kPa(21), mode: "gauge" }, at_s: seconds(scheduler.now() / 1000) })),
        1000 * t,
      );
    }
    scheduler.flush();
    return outcome;
  };

  it("tells that a screw has no effect, that the gauge fell silent, and that turning failed", () => {
    expect(atDeadGauge(() => [], true)).toEqual({ kind: "no-effect" });
    expect(atDeadGauge(() => [], false)).toEqual({ kind: "gave-up", reason: "The gauge showed nothing for 20 s." });
    const failing: TurnScrew = () => {
      throw new Error("the line is gone");
    };
    const outcome = atDeadGauge(failing, true);
    expect(outcome?.kind === "gave-up" && outcome.reason).toMatch(/could not be turned.*the line is gone/u);
  });
});
