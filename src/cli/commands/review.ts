import { folderStore } from "../../app/certificate-store.ts";
import { approveCertificate } from "../../app/issue-certificate.ts";
import { addStore, type Person, personIn, sayLife } from "../certificate-options.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly by: Person;
  readonly store: string;
}

/** Reviews a draft; who may, the laboratory file of the run says. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<number>", "number of the certificate")
    .requiredOption("--by <name: role>", "who does it", personIn)
    .action(async (number: string, { by, store }: Options) =>
      finish(sayLife(streams, await approveCertificate(folderStore(store), "reviewed", number, by, Date.now()))),
    );
};
