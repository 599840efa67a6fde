import { map, Observable } from "rxjs";
import type { Assistant } from "../ports/assistant.ts";

/** The person at the bench sets the regulator or the valve and says so; the question goes away with the wait for it. */
export const personAssistant = (askDone: (words: string, signal: AbortSignal) => Promise<boolean>): Assistant => ({
  act: ({ words }) =>
    new Observable<boolean>((out) => {
      const off = new AbortController();
      askDone(words, off.signal).then(
        (done) => {
          out.next(done);
          out.complete();
        },
        (trouble: unknown) => out.error(trouble),
      );
      return () => off.abort();
    }).pipe(map((done) => (done ? "done" : "declined"))),
});
