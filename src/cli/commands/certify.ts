import { dirname, join } from "node:path";
import { Option } from "commander";
import { certifyRecord } from "../../app/certify.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import { writeWhole } from "../../app/write-whole.ts";
import { EXIT } from "../exit-codes.ts";
import { personOf } from "../option-values.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly number?: string;
  readonly authorise?: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly output?: string;
}

/** Makes the certificate of a record; no instrument is needed, and only what the record holds counts. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("<record>", "record of a run")
    .option("--number <text>", "certificate number; the run's own when left out")
    .option("--authorise <name: role>", "who authorises it; without it, it stays a draft")
    .addOption(new Option("--language <code>", "language").choices(["en", "de"]).default("en"))
    .addOption(new Option("--paper <size>", "paper").choices(["A4", "Letter"]).default("A4"))
    .option("--output <folder>", "folder for the certificate; beside the record when left out")
    .action(async (record: string, options: Options) => {
      const text = readText(record);
      if (!text.ok) return finish(sayFault(streams, text.fault));
      const made = await certifyRecord(text.value, knownParts(), {
        number: options.number,
        language: options.language,
        paper: options.paper,
        authorisation: personOf(options.authorise),
        issued_ms: Date.now(),
      });
      if (!made.ok) return finish(sayFault(streams, made.fault));
      const path = join(options.output ?? dirname(record), `${made.value.model.number}.pdf`);
      const written = await writeWhole(path, made.value.pdf);
      if (!written.ok) return finish(sayFault(streams, written.fault));
      for (const what of made.value.model.missing)
        say(streams.talk, `Still missing before it could be issued: ${what}`);
      say(streams.out, path);
      finish(EXIT.success);
    });
};
