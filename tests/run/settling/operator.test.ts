import { type Observable, takeUntil } from "rxjs";
import { type RunHelpers, TestScheduler } from "rxjs/testing";
import { describe, expect, it } from "vitest";
import type { Sampled } from "../../../src/ports/bench.ts";
import { RunContext } from "../../../src/run/run-context.ts";
import { runScript } from "../../../src/run/script.ts";
import { hold, type Settling, settle } from "../../../src/run/settle.ts";
import type {
  PointStart,
  SettlingRule,
  SettlingSample,
  SettlingVerdict,
} from "../../../src/run/settling/settling-rule.ts";
import { kPa, seconds } from "../../../src/vocabulary/quantities.ts";
import type { PressureReading } from "../../../src/vocabulary/reading.ts";
import { err, ok } from "../../../src/vocabulary/result.ts";
import { fakeBench, lineLost, silence } from "../fake-bench.ts";
import { QUICK, requestFor } from "../run-fake.ts";

const START: PointStart = { at_s: 0, from: 0, to: 50, role: "point" };
const moving: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
const steady: SettlingVerdict = {
  kind: "settled",
  value: 50,
  u: 0.01,
  u_residual: 0.005,
  n_effective: 3,
  from_s: 1,
  to_s: 3,
};
const noData: SettlingVerdict = { kind: "no-new-data", for_s: 2 };

/** 20 to 100 kPa: 0.8 kPa a per cent. */
const reading = (percent: number, at_s: number): Sampled<PressureReading> =>
  ok({ value: { kPa: kPa(20 + 0.8 * percent), mode: "gauge" }, at_s: seconds(at_s) });

/** What the gauge says in the pictures: on the way, settled, settled but two seconds old, no answer, no line. */
const gauge: Readonly<Record<string, Sampled<PressureReading>>> = {
  m: reading(20, 1),
  s: reading(50, 3),
  o: reading(30, 0.5),
  n: err(silence),
  x: err(lineLost),
};

/** Settled at 50 %, no data after two misses in a row, moving else; keeps what it was shown. */
const witness = () => {
  const seen: SettlingSample[] = [];
  let begun = 0;
  let missed = 0;
  const rule: SettlingRule = {
    begin: () => {
      begun += 1;
    },
    take: (sample) => {
      seen.push({ ...sample, value: sample.value === null ? null : Math.round(sample.value) });
      missed = sample.value === null ? missed + 1 : 0;
      return missed >= 2 ? noData : Math.round(sample.value ?? 0) === 50 ? steady : moving;
    },
    learned: () => [],
  };
  return { rule, seen, begun: () => begun };
};

interface Stage extends RunHelpers {
  readonly context: RunContext;
  readonly seen: readonly SettlingSample[];
  readonly begun: () => number;
  /** Somebody still waits for samples of the gauge. */
  readonly waitedFor: () => boolean;
  settling(): Observable<Settling>;
}

/** A run whose gauge says what the picture says; the clock of the run is that of the picture, 1 ms a frame. */
const stage = (picture: string, play: (on: Stage) => void): void => {
  const scheduler = new TestScheduler((actual, expected) => expect(actual).toEqual(expected));
  scheduler.run((helpers) => {
    const { rule, seen, begun } = witness();
    const bench = fakeBench(scheduler);
    const request = requestFor(scheduler, bench, QUICK, { createRule: () => rule });
    const context = new RunContext(
      {
        ...request,
        bench: { ...bench, pressure$: helpers.hot(picture, gauge), current$: null, supply$: null, ambient$: null },
      },
      () => {},
    );
    const ignore = (): void => {};
    context.monitor.start(() => context.now_s(), {
      pressure: ignore,
      current: ignore,
      supply: ignore,
      ambient: ignore,
      broken: ignore,
    });
    play({
      ...helpers,
      context,
      seen,
      begun,
      waitedFor: () => context.monitor.pressure.sampled$.observed,
      settling: () => runScript(() => settle(context, START)),
    });
  });
};

const given = {
  S: { kind: "verdict", verdict: steady },
  L: { kind: "lost", fault: lineLost },
  N: { kind: "verdict", verdict: noData },
};

describe("waiting for a verdict", () => {
  it("gives the first final one at the sample that brought it, and waits for nothing after it", () => {
    stage("900ms m 499ms s 499ms m", ({ settling, seen, waitedFor, expectObservable, flush }) => {
      expectObservable(settling()).toBe("1400ms (S|)", given);
      flush();
      expect(seen.map((s) => s.value)).toEqual([20, 50]);
      expect(waitedFor()).toBe(false);
    });
  });

  it("nothing happens before somebody subscribes, and each wait begins the rule anew", () => {
    stage("900ms s 1s s", ({ settling, begun, expectObservable, flush }) => {
      const wait$ = settling();
      expect(begun()).toBe(0);
      expectObservable(wait$).toBe("900ms (S|)", given);
      expectObservable(wait$, "1s ^").toBe("1901ms (S|)", given);
      flush();
      expect(begun()).toBe(2);
    });
  });

  it("teardown: who goes away is gone from the gauge and from the clock, and the rule is asked no more", () => {
    stage("900ms m 499ms m 499ms s", ({ settling, seen, waitedFor, expectObservable, flush }) => {
      expectObservable(settling(), "^ 1500ms !").toBe("");
      flush();
      expect(seen.map((s) => s.value)).toEqual([20, 20]);
      expect(waitedFor()).toBe(false);
    });
  });

  it("stop: a person's stop ends the wait at once, a moment before the sample that would have settled", () => {
    stage("900ms m 499ms s", ({ settling, seen, waitedFor, expectObservable, hot, flush }) => {
      expectObservable(settling().pipe(takeUntil(hot("1399ms x")))).toBe("1399ms |");
      flush();
      expect(seen.map((s) => s.value)).toEqual([20]);
      expect(waitedFor()).toBe(false);
    });
  });
});

describe("instrument loss", () => {
  it("a lost line ends the wait with its fault, and is no sample for the rule", () => {
    stage("900ms m 499ms x 499ms s", ({ settling, seen, waitedFor, expectObservable, flush }) => {
      expectObservable(settling()).toBe("1400ms (L|)", given);
      flush();
      expect(seen.map((s) => s.value)).toEqual([20]);
      expect(waitedFor()).toBe(false);
    });
  });

  it("a single answer that did not come does not", () => {
    stage("500ms m 399ms n 399ms s", ({ settling, seen, expectObservable, flush }) => {
      expectObservable(settling()).toBe("1300ms (S|)", given);
      flush();
      expect(seen.map((s) => s.value)).toEqual([20, null, 50]);
    });
  });

  it("a stream that falls silent is told to the rule every second, at the time it is", () => {
    stage("500ms m", ({ settling, seen, expectObservable, flush }) => {
      expectObservable(settling()).toBe("2500ms (N|)", given);
      flush();
      expect(seen).toEqual([
        { time_s: 1, value: 20 },
        { time_s: 1.5, value: null },
        { time_s: 2.5, value: null },
      ]);
    });
  });

  it("a gauge that never says anything is given up too", () => {
    stage("-", ({ settling, expectObservable }) => {
      expectObservable(settling()).toBe("2s (N|)", given);
    });
  });

  it("a sample starts the patience anew", () => {
    stage("900ms m 899ms m 899ms m 899ms s", ({ settling, seen, expectObservable, flush }) => {
      expectObservable(settling()).toBe("3600ms (S|)", given);
      flush();
      expect(seen.map((s) => s.value)).toEqual([20, 20, 20, 50]);
    });
  });
});

describe("late samples", () => {
  it("count at the time they were taken, not at the time they arrived", () => {
    stage("900ms m 899ms o 499ms s", ({ settling, seen, expectObservable, flush }) => {
      expectObservable(settling()).toBe("2300ms (S|)", given);
      flush();
      expect(seen).toEqual([
        { time_s: 1, value: 20 },
        { time_s: 0.5, value: 30 },
        { time_s: 3, value: 50 },
      ]);
    });
  });

  it("that come after the last word change nothing", () => {
    stage("900ms s 100ms o 100ms x", ({ settling, seen, expectObservable, flush }) => {
      expectObservable(settling()).toBe("900ms (S|)", given);
      flush();
      expect(seen).toHaveLength(1);
    });
  });
});

describe("holding", () => {
  const held = { e: null, L: lineLost };

  it("ends when its time is out, however loud the rule says that it has seen enough", () => {
    stage("900ms s 899ms m", ({ context, seen, waitedFor, expectObservable, flush }) => {
      expectObservable(runScript(() => hold(context, 3, "exercise", { start: START }))).toBe("3s (e|)", held);
      flush();
      expect(seen.filter((s) => s.value !== null).map((s) => s.value)).toEqual([50, 20]);
      expect(waitedFor()).toBe(false);
    });
  });

  it("without a start it asks no rule", () => {
    stage("900ms s", ({ context, seen, begun, expectObservable, flush }) => {
      expectObservable(runScript(() => hold(context, 2, "exercise"))).toBe("2s (e|)", held);
      flush();
      expect(seen).toEqual([]);
      expect(begun()).toBe(0);
    });
  });

  it("ends with the fault of a lost line", () => {
    stage("900ms m 99ms x", ({ context, waitedFor, expectObservable, flush }) => {
      expectObservable(runScript(() => hold(context, 5, "exercise", { start: START }))).toBe("1s (L|)", held);
      flush();
      expect(waitedFor()).toBe(false);
    });
  });

  it("teardown: nothing is waited for any more", () => {
    stage("900ms m 900ms m", ({ context, seen, waitedFor, expectObservable, flush }) => {
      expectObservable(
        runScript(() => hold(context, 5, "exercise", { start: START })),
        "^ 1200ms !",
      ).toBe("");
      flush();
      expect(seen).toHaveLength(1);
      expect(waitedFor()).toBe(false);
    });
  });
});
