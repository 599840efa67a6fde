import { EMPTY, finalize, NEVER, of, throwError } from "rxjs";
import { TestScheduler } from "rxjs/testing";
import { describe, expect, it } from "vitest";
import { first, runScript, type Script } from "../../src/run/script.ts";

const marbles = () => new TestScheduler((actual, expected) => expect(actual).toEqual(expected));

describe("runScript", () => {
  it("goes on with the first value of each stream and drops the rest", () => {
    marbles().run(({ cold, expectObservable, expectSubscriptions }) => {
      const a$ = cold("--a-a|");
      const b$ = cold("   -b---");
      const script$ = runScript(function* () {
        return `${yield* first(a$)}${yield* first(b$)}`;
      });
      expectObservable(script$).toBe("---(r|)", { r: "ab" });
      expectSubscriptions(a$.subscriptions).toBe("^-!");
      expectSubscriptions(b$.subscriptions).toBe("--^!");
    });
  });

  it("drops what it waits for when it is unsubscribed, and runs finally", () => {
    const log: string[] = [];
    marbles().run(({ cold, expectObservable, expectSubscriptions }) => {
      const a$ = cold("-----a");
      const script$ = runScript(function* () {
        try {
          return yield* first(a$);
        } finally {
          log.push("finally");
        }
      });
      expectObservable(script$, "--!").toBe("---");
      expectSubscriptions(a$.subscriptions).toBe("^-!");
    });
    expect(log).toEqual(["finally"]);
  });

  it("lets a script catch the error of a stream, and passes on what it does not catch", () => {
    marbles().run(({ cold, expectObservable }) => {
      const bad$ = cold("--#", {}, new Error("bad"));
      const caught$ = runScript(function* (): Script<string> {
        try {
          return yield* first(bad$ as never);
        } catch (thrown) {
          return (thrown as Error).message;
        }
      });
      expectObservable(caught$).toBe("--(r|)", { r: "bad" });
      expectObservable(runScript(() => first(bad$))).toBe("--#", {}, new Error("bad"));
    });
  });

  it("calls a stream without an answer an error", () => {
    const seen: unknown[] = [];
    runScript(() => first(EMPTY)).subscribe({ error: (e) => seen.push((e as Error).message) });
    expect(seen).toEqual(["a step of the run ended without an answer"]);
  });

  it("does not nest calls when streams answer at once", () => {
    const seen: number[] = [];
    runScript(function* (): Script<number> {
      let sum = 0;
      for (let i = 0; i < 100_000; i += 1) sum += yield* first(of(1));
      return sum;
    }).subscribe((value) => seen.push(value));
    expect(seen).toEqual([100_000]);
  });

  it("drops a stream that never answers, once", () => {
    const log: string[] = [];
    const subscription = runScript(function* (): Script<void> {
      try {
        yield* first(of(0));
        yield* first(NEVER.pipe(finalize(() => log.push("dropped"))));
      } finally {
        log.push("finally");
      }
    }).subscribe();
    subscription.unsubscribe();
    subscription.unsubscribe();
    expect(log).toEqual(["dropped", "finally"]);
  });

  it("starts anew at each subscription", () => {
    let runs = 0;
    const script$ = runScript(function* (): Script<number> {
      runs += 1;
      return yield* first(of(runs));
    });
    const seen: number[] = [];
    script$.subscribe((v) => seen.push(v));
    script$.subscribe((v) => seen.push(v));
    expect(seen).toEqual([1, 2]);
    runScript(() => first(throwError(() => new Error("x")))).subscribe({ error: () => seen.push(0) });
    expect(seen).toEqual([1, 2, 0]);
  });
});
