import { livesOf, restingOn } from "../../app/certificate-life.ts";
import { folderStore } from "../../app/certificate-store.ts";
import { addStore, lifeLine } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly reference?: string;
  readonly from?: string;
  readonly to?: string;
  readonly json?: boolean;
  readonly store: string;
}

/** Lists what the ledger holds; with a reference found faulty, the certificates that rest on it. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .option("--reference <serial>", "only certificates that rest on the reference with this serial number")
    .option("--from <day>", "with --reference: issued on this day or later, YYYY-MM-DD")
    .option("--to <day>", "with --reference: issued on this day or before, YYYY-MM-DD")
    .option("--json", "print one JSON document")
    .action(({ reference, from, to, json, store }: Options) => {
      const ledger = folderStore(store).ledger();
      if (!ledger.ok) return finish(sayFault(streams, ledger.fault));
      const lives = livesOf(ledger.value);
      const wanted = reference === undefined ? null : restingOn(lives, reference, from, to);
      const shown = [...lives.values()].filter((life) => wanted === null || wanted.includes(life.number));
      if (json) {
        const document = { format: "stillpoint-certificates 1", head: ledger.value.head, certificates: shown };
        say(streams.out, JSON.stringify(document, null, 2));
      } else for (const life of shown) say(streams.out, lifeLine(life));
      finish(EXIT.success);
    });
};
