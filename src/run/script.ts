import { Observable, type Subscription, take } from "rxjs";

/**
 * A procedure written from top to bottom that waits for streams: it yields an observable and goes on with its first
 * value. Everything it waits for can be cut off at any moment by unsubscribing.
 */
export type Script<T> = Generator<Observable<unknown>, T, unknown>;

/** The first value of a stream. A stream that ends without one is a bug and throws. */
export function* first<T>(source$: Observable<T>): Script<T> {
  return (yield source$) as T;
}

/**
 * Runs a script at each subscription: emits what it returns and completes; errors with what it throws. Unsubscribing
 * drops the stream that is waited for and runs the `finally` blocks of the script.
 */
export const runScript = <T>(make: () => Script<T>): Observable<T> =>
  new Observable<T>((out) => {
    const script = make();
    let waiting: Subscription | null = null;
    let resume: (() => IteratorResult<Observable<unknown>, T>) | null = null;
    let running = false;

    /** Streams may answer at once; the loop keeps a thousand of those from nesting a thousand calls. */
    const go = (step: () => IteratorResult<Observable<unknown>, T>): void => {
      resume = step;
      if (running) return;
      running = true;
      try {
        while (resume !== null && !out.closed) {
          const now: () => IteratorResult<Observable<unknown>, T> = resume;
          resume = null;
          const result = now();
          if (result.done === true) {
            out.next(result.value);
            out.complete();
            return;
          }
          waiting = waitFor(result.value);
        }
      } catch (thrown) {
        out.error(thrown);
      } finally {
        running = false;
        if (out.closed) script.return(undefined as T);
      }
    };

    const waitFor = (source$: Observable<unknown>): Subscription => {
      let answer: { readonly value: unknown } | null = null;
      return source$.pipe(take(1)).subscribe({
        next: (value) => {
          answer = { value };
        },
        error: (thrown) => go(() => script.throw(thrown)),
        complete: () =>
          go(() =>
            answer === null
              ? script.throw(new Error("a step of the run ended without an answer"))
              : script.next(answer.value),
          ),
      });
    };

    go(() => script.next());
    return () => {
      waiting?.unsubscribe();
      if (!running) script.return(undefined as T);
    };
  });
