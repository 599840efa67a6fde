import { setTimeout as wait } from "node:timers/promises";
import { mirrorCertificates } from "../../app/records/mirror-certificates.ts";
import { parsePostgresAddress } from "../../app/records/postgres-address.ts";
import { openBenchRecords } from "../../app/records/queries/open-to-read.ts";
import { passLine, shipAgain } from "../../app/records/ship-again.ts";
import { type Shipped, shipStore } from "../../app/records/ship-store.ts";
import { addStore } from "../certificate-options.ts";
import { EXIT, EXIT_CODE_OF } from "../exit-codes.ts";
import { neededOption } from "../needed-option.ts";
import { RECORDS_FILE } from "../records-options.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly database: string;
  readonly records: string;
  readonly store: string;
  readonly keepTrying?: boolean;
  readonly all?: boolean;
  readonly json?: boolean;
}

const HELP = `
Example:
  stillpoint ship --records reports/records.sqlite --database postgres://cellar@server/shop

A run goes over whole and once, however often the line breaks; until then it waits here. The password is taken from the file that
PGPASSFILE names, or from PGPASSWORD. With --keep-trying it goes on until Ctrl-C and sends each run as it ends.
`;

const report = (streams: Streams, done: Shipped, json: boolean | undefined): number => {
  if (json) say(streams.out, JSON.stringify({ format: "stillpoint-shipped 1", ...done }));
  else say(streams.out, passLine(done) ?? "Everything was there already.");
  let code: number = EXIT.success;
  for (const f of done.refused) code = sayFault(streams, f);
  if (done.stopped_by !== null) code = sayFault(streams, done.stopped_by.fault);
  return code;
};

/** Ends cleanly on a signal: what is being sent is sent, and no further run is begun. A second one ends at once. */
const untilSignal = (): { readonly signal: AbortSignal; readonly release: () => void } => {
  const abort = new AbortController();
  const stop = (): void => abort.abort();
  for (const name of ["SIGINT", "SIGTERM"] as const) process.once(name, stop);
  return {
    signal: abort.signal,
    release: () => {
      for (const name of ["SIGINT", "SIGTERM"] as const) process.off(name, stop);
    },
  };
};

/** Sends finished runs of a bench, and what became of their certificates, to the shared database. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(neededOption(command, "--database <address>", "postgres://LOGIN@HOST/DATABASE, without a password"))
    .option("--records <file>", "records of this bench", RECORDS_FILE)
    .option("--keep-trying", "go on until Ctrl-C: wait out trouble, and send each run as it ends")
    .option("--all", "also what was acknowledged before; for a shared database that was put back from a backup")
    .option("--json", "print what was done as one JSON document")
    .addHelpText("after", HELP)
    .action(async ({ database, records, store, keepTrying, all, json }: Options) => {
      const address = parsePostgresAddress(database);
      if (!address.ok) return finish(sayFault(streams, address.fault));
      const opened = await openBenchRecords(records, "write");
      if (!opened.ok) return finish(sayFault(streams, opened.fault));
      const { signal, release } = untilSignal();
      const { db } = opened.value;
      const pass = async (): Promise<Shipped> => {
        const mirrored = await mirrorCertificates(db, store);
        const utc = (): string => new Date().toISOString();
        const done = await shipStore(db, address.value, { utc, signal, everything: all });
        return mirrored.ok ? done : { ...done, refused: [...done.refused, mirrored.fault] };
      };
      try {
        if (!keepTrying) return finish(report(streams, await pass(), json));
        const last = await shipAgain(pass, {
          signal,
          wait: (s) => wait(1000 * s, undefined, { signal }).catch(() => {}),
          say: (line) => say(streams.talk, line),
        });
        if (json) say(streams.out, JSON.stringify({ format: "stillpoint-shipped 1", ...last }));
        if (signal.aborted) {
          say(streams.talk, `Stopped; ${last.waiting} waiting here.`);
          return finish(EXIT.success);
        }
        finish(last.stopped_by === null ? EXIT.failed : EXIT_CODE_OF[last.stopped_by.fault.kind]);
      } catch (error) {
        finish(sayFault(streams, opened.value.faultOf(error)));
      } finally {
        release();
        await opened.value.close();
      }
    });
};
