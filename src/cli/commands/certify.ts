import { dirname } from "node:path";
import { Option } from "commander";
import { certifyRecord, writeCertificate } from "../../app/certify.ts";
import { type DccSchema, readDccSchema } from "../../app/dcc-schema.ts";
import { type Further, furtherTests } from "../../app/further-tests.ts";
import { readText } from "../../app/job-files.ts";
import { knownParts } from "../../app/known-parts.ts";
import type { Fault } from "../../vocabulary/fault.ts";
import { ok, type Result } from "../../vocabulary/result.ts";
import { EXIT } from "../exit-codes.ts";
import { addFurther, readTexts } from "../further-options.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly number?: string;
  readonly language: "en" | "de";
  readonly paper: "A4" | "Letter";
  readonly output?: string;
  readonly schemas?: string;
  readonly with?: readonly string[];
  readonly opinion?: boolean;
}

/** Makes the draft of a certificate from a record; no instrument is needed, and only what the record holds counts. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addFurther(command)
    .argument("<record>", "record of a run")
    .option("--number <text>", "certificate number; the run's own when left out")
    .addOption(new Option("--language <code>", "language").choices(["en", "de"]).default("en"))
    .addOption(new Option("--paper <size>", "paper").choices(["A4", "Letter"]).default("A4"))
    .option("--output <folder>", "folder for the certificate; beside the record when left out")
    .option("--schemas <folder>", "folder with the DCC schema (dcc.xsd 3.3.0) against which the data file is checked")
    .action(async (record: string, options: Options) => {
      const text = readText(record);
      if (!text.ok) return finish(sayFault(streams, text.fault));
      const schema: Result<DccSchema | undefined, Fault> =
        options.schemas === undefined ? ok(undefined) : readDccSchema(options.schemas);
      if (!schema.ok) return finish(sayFault(streams, schema.fault));
      const beside = readTexts(options.with ?? []);
      if (!beside.ok) return finish(sayFault(streams, beside.fault));
      const asked = beside.value.length > 0 || options.opinion === true;
      const further: Result<Further | undefined, Fault> = asked
        ? furtherTests(text.value, beside.value, knownParts(), options.opinion === true)
        : ok(undefined);
      if (!further.ok) return finish(sayFault(streams, further.fault));
      const made = await certifyRecord(text.value, knownParts(), {
        number: options.number,
        language: options.language,
        paper: options.paper,
        schema: schema.value,
        further: further.value,
        issued_ms: Date.now(),
      });
      if (!made.ok) return finish(sayFault(streams, made.fault));
      const written = await writeCertificate(options.output ?? dirname(record), made.value);
      if (!written.ok) return finish(sayFault(streams, written.fault));
      for (const what of made.value.model.missing) {
        say(streams.talk, `Still missing before it could be issued: ${what}`);
      }
      for (const fault of made.value.faults) say(streams.talk, `Fault of the data file: ${fault}`);
      if (schema.value !== undefined && made.value.faults.length === 0) {
        say(streams.talk, "The data file follows the schema.");
      }
      for (const path of [written.value.certificate, written.value.data]) if (path !== null) say(streams.out, path);
      finish(EXIT.success);
    });
};
