import { folderStore } from "../../app/certificate-store.ts";
import { withdrawCertificate } from "../../app/issue-certificate.ts";
import { addStore, collect, type Person, personIn, sayLife } from "../certificate-options.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly by: Person;
  readonly reason: string;
  readonly told: readonly string[];
  readonly store: string;
}

/** Withdraws a certificate whose results are wrong. A wrong name or address is amended instead. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<number>", "number of the issued certificate")
    .requiredOption("--by <name: role>", "who withdraws it", personIn)
    .requiredOption("--reason <text>", "what is wrong with the results")
    .requiredOption("--told <name>", "who was told; may be repeated", collect)
    .action(async (number: string, { by, reason, told, store }: Options) =>
      finish(sayLife(streams, await withdrawCertificate(folderStore(store), number, { by, reason, told }, Date.now()))),
    );
};
