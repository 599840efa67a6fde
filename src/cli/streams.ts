import type { Readable, Writable } from "node:stream";

/** Results go to `out`, everything else to `talk`. Colour and movement only where a person looks at a terminal. */
export interface Streams {
  readonly out: Writable;
  readonly talk: Writable;
  readonly input: Readable & { readonly isTTY?: boolean };
  /** `talk` is a terminal that can be redrawn. */
  readonly live: boolean;
  readonly colour: boolean;
  /** Somebody can be asked. */
  readonly canAsk: boolean;
  readonly columns: () => number;
}

/** A reader that has seen enough (`| head`) closes the pipe: what is said goes nowhere, and the work goes on. */
const survivesClosedPipe = (stream: Writable): void => {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
  });
};

export const processStreams = (): Streams => {
  survivesClosedPipe(process.stdout);
  survivesClosedPipe(process.stderr);
  const terminal = process.stderr.isTTY === true && process.env["TERM"] !== "dumb";
  const noColour = (process.env["NO_COLOR"] ?? "") !== "" || process.argv.includes("--no-color");
  return {
    out: process.stdout,
    talk: process.stderr,
    input: process.stdin,
    live: terminal,
    colour: terminal && !noColour,
    canAsk: process.stdin.isTTY === true && terminal,
    columns: () => process.stderr.columns ?? 80,
  };
};

export const say = (stream: Writable, text: string): void => {
  stream.write(`${text}\n`);
};
