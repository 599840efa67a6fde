import { createInterface } from "node:readline/promises";
import { EXIT } from "./exit-codes.ts";
import type { Streams } from "./streams.ts";

/**
 * One question on the talking stream; null when the person gives up (Ctrl-D) or the question is called off. Ctrl-C keeps
 * its meaning: a run that is under way makes the source safe. A question that nothing can call off is one before any run:
 * there the program ends, whoever else listens for the signal.
 */
export const ask = async (streams: Streams, question: string, signal?: AbortSignal): Promise<string | null> => {
  const lines = createInterface({ input: streams.input, output: streams.talk, terminal: streams.canAsk });
  lines.once("SIGINT", () => {
    lines.close();
    if (signal === undefined || process.listenerCount("SIGINT") === 0) process.exit(EXIT.interrupted);
    process.kill(process.pid, "SIGINT");
  });
  const gone = new Promise<null>((resolve) => lines.once("close", () => resolve(null)));
  try {
    const answer = lines.question(question, signal === undefined ? {} : { signal });
    return await Promise.race([answer, gone]);
  } catch {
    return null;
  } finally {
    lines.close();
  }
};
