import type { Fault } from "../vocabulary/fault.ts";
import { EXIT_CODE_OF } from "./exit-codes.ts";
import { type Streams, say } from "./streams.ts";

/** Says a fault on the talking stream, one sentence a line, and gives its exit code. */
export const sayFault = (streams: Streams, f: Fault): number => {
  say(streams.talk, `stillpoint: ${f.message}`);
  for (const more of [f.means, f.remedy]) if (more !== undefined) say(streams.talk, `  ${more}`);
  return EXIT_CODE_OF[f.kind];
};
