import { type Fault, fault } from "../../src/vocabulary/fault.ts";
import { err, type Result } from "../../src/vocabulary/result.ts";

/** The open calls of one instrument: `close` settles all of them at once, whatever they are waiting for. */
export interface PendingCalls {
  readonly closed: boolean;
  run<T>(work: () => Promise<Result<T, Fault>>): Promise<Result<T, Fault>>;
  close(): void;
}

export const pendingCalls = (name: string): PendingCalls => {
  const open = new Set<() => void>();
  let isClosed = false;
  const lineClosed = (): Fault =>
    fault("communication", "line-closed", `${name} was closed while it was asked.`, { means: "There is no value." });
  return {
    get closed() {
      return isClosed;
    },
    run: <T>(work: () => Promise<Result<T, Fault>>) => {
      if (isClosed) return Promise.resolve(err(lineClosed()));
      return new Promise<Result<T, Fault>>((resolve) => {
        const settle = (result: Result<T, Fault>): void => {
          open.delete(abandon);
          resolve(result);
        };
        const abandon = (): void => settle(err(lineClosed()));
        open.add(abandon);
        work().then(settle, (bug: unknown) => {
          const words = bug instanceof Error ? bug.message : String(bug);
          settle(
            err(
              fault("communication", "internal", `The driver of ${name} failed: ${words}.`, {
                means: "This is a mistake in the program; there is no value.",
                remedy: "Please report it with the record of this run.",
              }),
            ),
          );
        });
      });
    },
    close: () => {
      isClosed = true;
      for (const abandon of [...open]) abandon();
    },
  };
};
