import { existsSync } from "node:fs";
import { Option } from "commander";
import { writeShortForms } from "../../app/certificate-short-forms.ts";
import { folderStore } from "../../app/certificate-store.ts";
import { prepareCertificate } from "../../app/certify.ts";
import { issuedContent } from "../../app/issue-certificate.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import { addStore } from "../certificate-options.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly output: string;
  readonly store: string;
}

/** Writes the forms beside a certificate. Of a record they carry its mark, DRAFT or SIMULATED. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addStore(command)
    .argument("<what>", "number of an issued certificate, or a record")
    .addOption(new Option("--language <code>", "language, of a record").choices(["en", "de"]).default("en"))
    .addOption(new Option("--paper <size>", "paper").choices(["A4", "Letter"]).default("A4"))
    .option("--output <folder>", "where to write them", ".")
    .action(async (what: string, { language, paper, output, store }: Options) => {
      const now_ms = Date.now();
      const record = existsSync(what) ? readText(what) : null;
      if (record !== null && !record.ok) return finish(sayFault(streams, record.fault));
      const issued = record === null ? await issuedContent(folderStore(store), what) : null;
      if (issued !== null && !issued.ok) return finish(sayFault(streams, issued.fault));
      const drafted =
        record === null
          ? null
          : await prepareCertificate(record.value, knownParts(), { language, paper, issued_ms: now_ms });
      if (drafted !== null && !drafted.ok) return finish(sayFault(streams, drafted.fault));
      const content = issued?.value ?? drafted?.value;
      if (content === undefined) return finish(EXIT.failed);
      const issued_ms = issued?.value.issued_ms ?? now_ms;
      const written = await writeShortForms(output, content, { paper, issued_ms });
      if (!written.ok) return finish(sayFault(streams, written.fault));
      for (const path of written.value) say(streams.out, path);
      finish(EXIT.success);
    });
};
