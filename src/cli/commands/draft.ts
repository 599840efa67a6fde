import { Option } from "commander";
import type { IdentityChange } from "../../app/certificate-ledger.ts";
import { folderStore } from "../../app/certificate-store.ts";
import { draftCertificate } from "../../app/draft-certificate.ts";
import { readText } from "../../app/job-files.ts";
import { addChange, addStore } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { addFurther, readTexts } from "../further-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly number: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly set?: IdentityChange;
  readonly store: string;
  readonly with?: readonly string[];
  readonly opinion?: boolean;
}

/** Enters a draft, with its record, into the ledger: the first step towards an issued certificate. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addFurther(addStore(command))
    .argument("<record>", "record of a run")
    .requiredOption("--number <text>", "number of the certificate")
    .addOption(new Option("--language <code>", "language").choices(["en", "de"]).default("en"))
    .addOption(new Option("--paper <size>", "paper").choices(["A4", "Letter"]).default("A4"))
    .option("--set <key=text>", "what the unit file left out, such as customer_contact=...; may be repeated", addChange)
    .action(async (record: string, options: Options) => {
      const text = readText(record);
      if (!text.ok) return finish(sayFault(streams, text.fault));
      const beside = readTexts(options.with ?? []);
      if (!beside.ok) return finish(sayFault(streams, beside.fault));
      const drafted = await draftCertificate(folderStore(options.store), {
        record: text.value,
        number: options.number,
        language: options.language,
        paper: options.paper,
        change: options.set ?? {},
        further: beside.value,
        opinions: options.opinion === true,
        now_ms: Date.now(),
      });
      if (!drafted.ok) return finish(sayFault(streams, drafted.fault));
      for (const what of drafted.value.missing) say(streams.talk, `Still missing: ${what}`);
      say(streams.out, `${options.number}: draft`);
      finish(EXIT.success);
    });
};
