import { type Command, Option } from "commander";
import { dataJson, dataText } from "../../app/analyse-data-text.ts";
import { givenDeadBand, repeatabilityMethod } from "../../app/analyse-options.ts";
import { analysePlain, isPlainData } from "../../app/analyse-plain.ts";
import { type AgainstTexts, againstOf, analyseReadingsFiles, USUAL_RULE } from "../../app/analyse-readings.ts";
import { analysedJson, analysedText } from "../../app/analyse-text.ts";
import { type NamedText, readText } from "../../app/job-files.ts";
import { rangesTransfer } from "../../app/ranges-transfer.ts";
import { jsonText } from "../../app/text-table.ts";
import { type Fault, fault } from "../../vocabulary/fault.ts";
import { kPa, type PressureMode } from "../../vocabulary/quantities.ts";
import { parseQuantityOf } from "../../vocabulary/quantity-text.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { Action, Characteristic } from "../../vocabulary/signal-range.ts";
import { EXIT } from "../exit-codes.ts";
import { positive } from "../option-values.ts";
import { addPlainOptions, type PlainOptions, plainChoice, strayPlainOption } from "../plain-options.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options extends PlainOptions {
  readonly unit?: string;
  readonly input: string;
  readonly output?: string;
  readonly mode: PressureMode;
  readonly action: Action;
  readonly characteristic: Characteristic;
  readonly tolerance?: string;
  readonly rule?: string;
  readonly U?: string;
  readonly k?: number;
  readonly dof?: number;
  readonly repeatability?: string;
  readonly deadBand?: number;
  readonly supply?: string;
  readonly json?: boolean;
}

const HELP = `
Readings of a converter (the columns of src/readings/readings-format.md):
  # stillpoint-readings 1
  ordinal,cycle,direction,nominal_mA,applied_mA,output_psi,U_psi
  1,1,rising,4,4.0003,3.002,0.006

A column stage (as-found or as-left) in the same file: each is judged by itself, and what changed is told; as left
decides the exit code.

Plain columns of numbers (any quantity; direction and cycle if there are such):
  x_kPa,y_kPa,direction
  0,-1.12,rising

Examples:
  stillpoint analyse readings.csv --output "3 psi to 15 psi" --tolerance "0.5 %span"
  stillpoint analyse run-1.csv run-2.csv --unit my-unit.yaml --U "0.01 psi" --rule guarded
  stillpoint analyse plain.csv --x-range "0 to 10" --y-range "0 to 10"
  stillpoint analyse drift.csv --at 9242 --u-y 0.025

A verdict is made when tolerance and U are given. Without --rule it is "${USUAL_RULE}".
`;

const addOptions = (command: Command): Command =>
  addPlainOptions(
    command
      .argument("<readings...>", "files of readings (CSV or JSON); several are runs of the same unit")
      .option("--unit <file>", "unit file: what the unit ought to do, and its tolerance")
      .option("--input <range>", "input range", "4 mA to 20 mA")
      .option("--output <range>", "output range, such as `3 psi to 15 psi`; instead of --unit")
      .addOption(
        new Option("--mode <mode>", "of the output range")
          .choices(["gauge", "absolute", "differential"])
          .default("gauge"),
      )
      .addOption(new Option("--action <action>", "of the unit").choices(["direct", "reverse"]).default("direct"))
      .addOption(
        new Option("--characteristic <shape>", "of the unit").choices(["linear", "square-root"]).default("linear"),
      )
      .option(
        "--tolerance <limit>",
        "greatest error allowed, such as `0.5 %span` or `0.05 psi`; goes before the unit's own",
      )
      .option("--rule <text>", 'decision rule: simple, guarded, "guarded 0.83", four-words, "target-risk 2 %"')
      .option("--U <limit>", "expanded uncertainty of an error, where the file has no U column")
      .option("--k <n>", "coverage factor of U; 2 when left out", positive)
      .option("--dof <n>", "degrees of freedom of U; infinite when left out", positive)
      .option(
        "--repeatability <meaning>",
        'range (usual), from-first-run, zero-corrected, or "standard-deviation 2" with its multiple',
      )
      .option(
        "--dead-band <percent>",
        "dead band from its own test, % of input span; hysteresis is then given alone",
        positive,
      )
      .option("--supply <pressure>", "supply pressure, to recognise an output that stands at it"),
  )
    .option("--json", "print everything unrounded as one JSON document")
    .addHelpText("after", HELP);

const readAll = (paths: readonly string[]): Result<readonly NamedText[], Fault> => {
  const texts: NamedText[] = [];
  for (const path of paths) {
    const text = readText(path);
    if (!text.ok) return text;
    texts.push({ name: path, text: text.value });
  }
  return ok(texts);
};

const given = <K extends string, V>(key: K, value: V | undefined): { readonly [P in K]?: V } =>
  value === undefined ? {} : ({ [key]: value } as { readonly [P in K]: V });

const againstTexts = (options: Options): Result<AgainstTexts, Fault> => {
  const shared = {
    ...given("tolerance", options.tolerance),
    ...given("rule", options.rule),
    ...given("U", options.U),
    ...given("k", options.k),
    ...given("degrees_of_freedom", options.dof),
  };
  if (options.unit !== undefined) {
    const text = readText(options.unit);
    return text.ok ? ok({ ...shared, unit: { name: options.unit, text: text.value } }) : text;
  }
  if (options.output === undefined) return ok(shared);
  const transfer = rangesTransfer(options.input, options.output, options.action, options.characteristic);
  if (!transfer.ok) return err(fault("refused", "bad-option", transfer.fault));
  const { value } = transfer;
  return ok({ ...shared, transfer: { ...value, output: { ...value.output, mode: options.mode } } });
};

const repeatabilityOf = (options: Options) =>
  options.repeatability === undefined ? ok(undefined) : repeatabilityMethod(options.repeatability);

const converter = (streams: Streams, texts: readonly NamedText[], options: Options): number => {
  const stray = strayPlainOption(options);
  if (stray !== null) {
    return sayFault(
      streams,
      fault("refused", "bad-option", `${stray} is for plain columns; this file holds readings of a converter.`, {
        remedy: "Leave it out, or put the numbers into columns x and y.",
      }),
    );
  }
  const asked = againstTexts(options);
  if (!asked.ok) return sayFault(streams, asked.fault);
  const against = againstOf(asked.value);
  if (!against.ok) return sayFault(streams, against.fault);
  const repeatability = repeatabilityOf(options);
  if (!repeatability.ok) return sayFault(streams, repeatability.fault);
  const supply = options.supply === undefined ? null : parseQuantityOf("pressure", options.supply);
  if (supply !== null && !supply.ok) {
    return sayFault(streams, fault("refused", "bad-option", `${supply.fault.message} ${supply.fault.remedy}`));
  }
  const analysed = analyseReadingsFiles(texts, against.value, {
    ...given("repeatability", repeatability.value),
    ...(options.deadBand === undefined ? {} : { dead_band: givenDeadBand(options.deadBand) }),
    ...(supply === null ? {} : { stops: { supply_kPa: kPa(supply.value.kPa) } }),
  });
  if (!analysed.ok) return sayFault(streams, analysed.fault);
  say(streams.out, options.json ? jsonText(analysedJson(analysed.value)) : analysedText(analysed.value));
  const { files } = analysed.value;
  // As a unit goes back with its as-left readings, these decide; as found does where nothing was left otherwise.
  const last = files.filter(
    (f) => f.stage === "as-left" || !files.some((g) => g.set.name === f.set.name && g.stage === "as-left"),
  );
  const bad = last.some(({ verdict }) => verdict !== null && !/^(?:conditional-)?pass$/u.test(verdict.word));
  return bad ? EXIT.outOfTolerance : EXIT.success;
};

const plain = (streams: Streams, texts: readonly NamedText[], options: Options): number => {
  const [text, another] = texts;
  if (text === undefined || another !== undefined) {
    return sayFault(
      streams,
      fault("refused", "bad-option", "Plain columns are analysed one file at a time.", {
        remedy: "Put the runs into one file, with a column cycle.",
      }),
    );
  }
  const repeatability = repeatabilityOf(options);
  if (!repeatability.ok) return sayFault(streams, repeatability.fault);
  const chosen = plainChoice(options);
  if (!chosen.ok) return sayFault(streams, chosen.fault);
  const analysed = analysePlain(text, {
    ...chosen.value,
    ...given("repeatability", repeatability.value),
    ...(options.deadBand === undefined ? {} : { dead_band: givenDeadBand(options.deadBand) }),
  });
  if (!analysed.ok) return sayFault(streams, analysed.fault);
  say(streams.out, options.json ? jsonText(dataJson(analysed.value)) : dataText(analysed.value));
  return EXIT.success;
};

/** Figures and verdict of readings that were taken elsewhere. No instrument, no bench. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addOptions(command).action((paths: readonly string[], options: Options) => {
    const texts = readAll(paths);
    if (!texts.ok) return finish(sayFault(streams, texts.fault));
    const isPlain = options.plain === true || texts.value.every(({ text }) => isPlainData(text));
    finish(isPlain ? plain(streams, texts.value, options) : converter(streams, texts.value, options));
  });
};
