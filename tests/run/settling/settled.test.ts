import { map } from "rxjs";
import { type RunHelpers, TestScheduler } from "rxjs/testing";
import { describe, expect, it } from "vitest";
import { settled } from "../../../src/run/settling/settled.ts";
import type { PointStart, SettlingRule, SettlingVerdict } from "../../../src/run/settling/settling-rule.ts";

const START: PointStart = { at_s: 0, from: 0, to: 50, role: "point" };
const moving: SettlingVerdict = { kind: "moving", expected_s: null, confidence: 0 };
const settling: SettlingVerdict = { kind: "settling", expected_s: 2, confidence: 0.5 };
const steady: SettlingVerdict = {
  kind: "settled",
  value: 50,
  u: 0.01,
  u_residual: 0.005,
  n_effective: 3,
  from_s: 1,
  to_s: 3,
};
const hunting: SettlingVerdict = { kind: "hunting", centre: 50, amplitude: 1, period_s: 3 };

/** A rule as small as the contract allows: says by the value what it was told to say. */
const scripted = () => {
  const begun: PointStart[] = [];
  const said: Record<number, SettlingVerdict> = { 1: moving, 2: settling, 3: steady, 4: hunting };
  const rule: SettlingRule = {
    begin: (start) => begun.push(start),
    take: (sample) => said[sample.value ?? 1] ?? moving,
    learned: () => [],
  };
  return { rule, begun };
};

const run = (test: (helpers: RunHelpers) => void): void =>
  new TestScheduler((actual, expected) => expect(actual).toEqual(expected)).run(test);
const values = { m: moving, s: settling, S: steady, h: hunting };
const sample = (digit: string) => ({ time_s: 0, value: digit === "n" ? null : Number(digit) });

describe("settled", () => {
  it("gives a verdict a sample and completes at the first final one, dropping the samples", () => {
    run(({ hot, expectObservable, expectSubscriptions }) => {
      const samples$ = hot("-1-2-3-1-");
      const verdict$ = samples$.pipe(map(sample), settled(scripted().rule, START));
      expectObservable(verdict$).toBe("-m-s-(S|)", values);
      expectSubscriptions(samples$.subscriptions).toBe("^----!");
    });
  });

  it("completes at a refusal just as well", () => {
    run(({ hot, expectObservable }) => {
      expectObservable(hot("-1-4-3").pipe(map(sample), settled(scripted().rule, START))).toBe("-m-(h|)", values);
    });
  });

  it("completes without a final verdict when the samples end", () => {
    run(({ cold, expectObservable }) => {
      expectObservable(cold("-1-n|").pipe(map(sample), settled(scripted().rule, START))).toBe("-m-m|", values);
    });
  });

  it("lets go of the samples when it is unsubscribed", () => {
    run(({ hot, expectObservable, expectSubscriptions }) => {
      const samples$ = hot("-1-1-1-3");
      expectObservable(samples$.pipe(map(sample), settled(scripted().rule, START)), "^---!").toBe("-m-m", values);
      expectSubscriptions(samples$.subscriptions).toBe("^---!");
    });
  });

  it("passes an error on: a broken stream is a bug", () => {
    run(({ cold, expectObservable }) => {
      expectObservable(cold("-1-#").pipe(map(sample), settled(scripted().rule, START))).toBe("-m-#", values);
    });
  });

  it("begins the rule at each subscription and not before", () => {
    const { rule, begun } = scripted();
    run(({ cold, flush }) => {
      const verdict$ = cold("-3").pipe(map(sample), settled(rule, START));
      expect(begun).toEqual([]);
      verdict$.subscribe();
      flush();
      verdict$.subscribe();
      expect(begun).toEqual([START, START]);
    });
  });
});
