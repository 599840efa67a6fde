import type { IdentityChange } from "../../app/certificate-ledger.ts";
import { folderStore } from "../../app/certificate-store.ts";
import { amendCertificate } from "../../app/draft-certificate.ts";
import { readText } from "../../app/job-files.ts";
import { addChange, addStore } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly as: string;
  readonly reason: string;
  readonly set?: IdentityChange;
  readonly record?: string;
  readonly store: string;
}

/** Drafts a further document; the issued one stays as it is. With a new record it replaces, else it amends. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<number>", "number of the issued certificate")
    .requiredOption("--as <text>", "number of the new one")
    .requiredOption("--reason <text>", "why, as it is printed")
    .option("--set <key=text>", "what is said otherwise, such as customer=...; may be repeated", addChange)
    .option("--record <file>", "record of new readings, when the results themselves are new")
    .action(async (number: string, options: Options) => {
      const record = options.record === undefined ? undefined : readText(options.record);
      if (record !== undefined && !record.ok) return finish(sayFault(streams, record.fault));
      const drafted = await amendCertificate(folderStore(options.store), {
        number,
        as: options.as,
        reason: options.reason,
        change: options.set ?? {},
        record: record?.value,
        now_ms: Date.now(),
      });
      if (!drafted.ok) return finish(sayFault(streams, drafted.fault));
      say(streams.out, `${options.as}: draft, ${record === undefined ? "amends" : "replaces"} ${number}`);
      finish(EXIT.success);
    });
};
