import { createInterface } from "node:readline/promises";
import type { Streams } from "./streams.ts";

/** One question on the talking stream; null when the person gives up (Ctrl-D) or the question is called off. */
export const ask = async (streams: Streams, question: string, signal?: AbortSignal): Promise<string | null> => {
  const lines = createInterface({ input: streams.input, output: streams.talk, terminal: streams.canAsk });
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
