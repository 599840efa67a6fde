import { join } from "node:path";
import { folderStore } from "../../app/certificate-store.ts";
import { issuedBytes } from "../../app/issue-certificate.ts";
import { writeWhole } from "../../app/write-whole.ts";
import { addStore } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly output: string;
  readonly store: string;
}

/** Takes both forms of an issued certificate out of the store, byte for byte, if they are still what was kept. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<number>", "number of the issued certificate")
    .option("--output <folder>", "where to write them", ".")
    .action(async (number: string, { output, store }: Options) => {
      for (const kind of ["pdf", "xml"] as const) {
        const bytes = issuedBytes(folderStore(store), number, kind);
        if (!bytes.ok) return finish(sayFault(streams, bytes.fault));
        const written = await writeWhole(join(output, `${number}.${kind}`), bytes.value);
        if (!written.ok) return finish(sayFault(streams, written.fault));
        say(streams.out, written.value);
      }
      finish(EXIT.success);
    });
};
