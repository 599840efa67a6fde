import { type Command, Option } from "commander";
import { numbersOf } from "../../app/analyse-options.ts";
import { airClassRows, instrumentAirRows } from "../../app/convert/air-rows.ts";
import { classRows } from "../../app/convert/class-rows.ts";
import { plainQuantity } from "../../app/convert/plain-quantity.ts";
import { roundedRows, roundedUncertainty } from "../../app/convert/rounded-rows.ts";
import type { Row } from "../../app/convert/row.ts";
import { lawRows, type RangesChoice, throughRanges } from "../../app/convert/through-ranges.ts";
import { waterColumnRows } from "../../app/convert/water-column.ts";
import { jsonText, shortNumber } from "../../app/text-table.ts";
import { fault } from "../../vocabulary/fault.ts";
import { PRESSURE_UNITS, pressureUnitNames } from "../../vocabulary/pressure-units.ts";
import { err, ok, type Result } from "../../vocabulary/result.ts";
import type { Action, Characteristic } from "../../vocabulary/signal-range.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { type Streams, say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly to?: string;
  readonly input?: string;
  readonly output?: string;
  readonly action: Action;
  readonly characteristic: Characteristic;
  readonly given?: "input" | "output";
  readonly tolerance?: string;
  readonly points?: string;
  readonly round?: "down" | "nearest" | "up";
  readonly across?: string;
  readonly class?: string;
  readonly columnAt?: string;
  readonly airClass?: string;
  readonly coldest?: string;
  readonly u?: string;
  readonly digits: "1" | "2";
  readonly json?: boolean;
  readonly units?: boolean;
}

const HELP = `
Through a unit or any two ranges (units are free; pressures, currents and temperatures are converted):
  stillpoint convert "10.6 mA" --output "150 psi to 400 psi"
  stillpoint convert "62 kPa" --input "4 mA to 12 mA" --output "20 kPa to 100 kPa"
  stillpoint convert "41 degC" --input "-88 degC to 145 degC" --output "4 mA to 20 mA"
  stillpoint convert --points "0 25 50 75 100" --output "3 psi to 15 psi" --tolerance "0.5 %span"
  stillpoint convert "36 %span" --input "0 psi to 75 psi" --output "0 counts to 16383 counts" --round down
  stillpoint convert "5 psi" --input "3 psi to 15 psi" --output "3 psi to 15 psi" --characteristic square-root

By itself:
  stillpoint convert "9 psi" --to kPa             stillpoint convert "3.7 mA"        (band of NAMUR NE 43)
  stillpoint convert "4 mA" --across "250 ohm"    stillpoint convert --class 1.6 --output "0 bar to 10 bar"
  stillpoint convert "10.05762 ohm" --u "27 mohm"        stillpoint convert --u "10.47 mohm" --round up

A share is of the output span unless it says %input.
`;

interface Conversion {
  readonly from: string;
  readonly results: readonly Row[];
}

/** The quantities as given, or the points of a table as shares of the output. */
const quantitiesOf = (written: readonly string[], points: string | undefined): Result<readonly string[], string> => {
  if (points === undefined) return ok(written);
  const numbers = numbersOf(points, "points");
  if (!numbers.ok) return err('Points are numbers in % of span, such as --points "0 25 50 75 100".');
  return ok([...written, ...numbers.value.map((n) => `${n} %span`)]);
};

const rangesChoice = (options: Options, output: string): Result<RangesChoice, string> => {
  const { input = "4 mA to 20 mA", action, characteristic, given, tolerance, to, round } = options;
  if (round === "up") return err("--round up is for an uncertainty; counts are rounded down or to the nearest.");
  return ok({
    input,
    output,
    action,
    characteristic,
    ...(given === undefined ? {} : { given }),
    ...(tolerance === undefined ? {} : { tolerance }),
    ...(to === undefined ? {} : { to }),
    ...(round === undefined ? {} : { round }),
  });
};

const rowsOf = (text: string, options: Options): Result<readonly Row[], string> => {
  if (options.u !== undefined)
    return roundedRows(text, options.u, options.digits === "1" ? 1 : 2, options.round === "up");
  if (options.columnAt !== undefined) return waterColumnRows(text, options.columnAt, options.to);
  if (options.output === undefined) {
    return options.input === undefined
      ? plainQuantity(text, options)
      : err('There is an input range without an output range; give --output, such as --output "3 psi to 15 psi".');
  }
  const choice = rangesChoice(options, options.output);
  return choice.ok ? throughRanges(text, choice.value) : choice;
};

const conversionsOf = (written: readonly string[], options: Options): Result<readonly Conversion[], string> => {
  const one = (from: string, results: Result<readonly Row[], string>): Result<readonly Conversion[], string> =>
    results.ok ? ok([{ from, results: results.value }]) : results;
  if (options.class !== undefined) return one(options.class, classRows(options.class, options.output));
  if (options.airClass !== undefined) return one(options.airClass, airClassRows(options.airClass));
  if (options.coldest !== undefined) return one(options.coldest, instrumentAirRows(options.coldest));
  const quantities = quantitiesOf(written, options.points);
  if (!quantities.ok) return quantities;
  if (quantities.value.length === 0) {
    return options.u === undefined
      ? err('What is to be converted? Give it like: stillpoint convert "9 psi" --to kPa.')
      : one(options.u, roundedUncertainty(options.u, options.digits === "1" ? 1 : 2, options.round === "up"));
  }
  const conversions: Conversion[] = [];
  for (const from of quantities.value) {
    const results = rowsOf(from, options);
    if (!results.ok) return results;
    conversions.push({ from, results: results.value });
  }
  return ok(conversions);
};

const sayUnits = (streams: Streams, json: boolean): void => {
  const units = pressureUnitNames.map((name) => ({
    name,
    pascal: PRESSURE_UNITS[name].pascal,
    basis: PRESSURE_UNITS[name].basis,
  }));
  if (json) say(streams.out, jsonText({ format: "stillpoint-units 1", units }));
  else
    for (const { name, pascal, basis } of units)
      say(streams.out, `${name.padEnd(22)} ${String(pascal).padEnd(20)} Pa  ${basis}`);
};

const sayRows = (streams: Streams, rows: readonly Row[]): void => {
  const width = Math.max(...rows.map(({ name }) => name.length));
  for (const { name, value, unit } of rows) {
    const shown = typeof value === "number" ? shortNumber(value, 12) : value;
    say(streams.out, `${name.padEnd(width)}  ${shown}${unit === "" ? "" : ` ${unit}`}`);
  }
};

const addOptions = (command: Command): Command =>
  command
    // `-40 degC` is a quantity and no option; what is neither is refused below by its own name.
    .allowUnknownOption()
    .argument("[quantities...]", "such as `9 psi`, `12 mA` or `50 %span`")
    .option("--to <unit>", "unit of the result; all pressure units when left out")
    .option("--input <range>", "input range; `4 mA to 20 mA` when left out")
    .option("--output <range>", "output range, such as `3 psi to 15 psi`: converts through the unit")
    .addOption(new Option("--action <action>", "of the unit").choices(["direct", "reverse"]).default("direct"))
    .addOption(
      new Option("--characteristic <shape>", "of the unit").choices(["linear", "square-root"]).default("linear"),
    )
    .addOption(
      new Option("--given <side>", "what a number is that fits both ranges; input when left out").choices([
        "input",
        "output",
      ]),
    )
    .option("--tolerance <limit>", "greatest error of the output, such as `0.5 %span`: prints what is still allowed")
    .option("--points <percents>", "a table at these shares of the output span, such as `0 25 50 75 100`")
    .addOption(
      new Option("--round <way>", "output in whole counts; an uncertainty upwards").choices(["down", "nearest", "up"]),
    )
    .option("--across <resistance>", "resistor that turns a current into a voltage, such as `250 ohm`")
    .option("--column-at <temperature>", "temperature of a water column, such as `10 inH2O` at `25 degC`")
    .option("--class <name>", "limits of a gauge class (EN 837-1) or grade (ASME B40.100)")
    .option("--air-class <class>", "limits of compressed air by ISO 8573-1, particles:water:oil, such as `2:4:2`")
    .option("--coldest <temperature>", "lowest temperature of the system: dew point that instrument air may have")
    .option("--u <uncertainty>", "round a value to its uncertainty, and print both as they are written")
    .addOption(new Option("--digits <n>", "of the uncertainty").choices(["1", "2"]).default("2"))
    .option("--units", "list the pressure units and their factors")
    .option("--json", "print the result as JSON, unrounded")
    .addHelpText("after", HELP);

/** Pressures, currents, ranges, classes and rounding. No instrument, no bench. */
export const define: CommandModule["define"] = (command, streams, finish) => {
  addOptions(command).action((written: readonly string[], options: Options) => {
    if (options.units) {
      sayUnits(streams, options.json === true);
      return finish(EXIT.success);
    }
    const stranger = written.find((word) => /^-(?![\d.,\s])/u.test(word));
    const refuse = (message: string): void => finish(sayFault(streams, fault("refused", "bad-option", message)));
    if (stranger !== undefined) return refuse(`There is no option ${stranger}; stillpoint convert --help lists them.`);
    const conversions = conversionsOf(written, options);
    if (!conversions.ok) return refuse(conversions.fault);
    const choice =
      options.output === undefined || options.class !== undefined ? null : rangesChoice(options, options.output);
    const law = choice?.ok === true ? lawRows(choice.value) : ok([]);
    if (!law.ok) return refuse(law.fault);
    const [only, another] = conversions.value;
    if (options.json) {
      const body = only !== undefined && another === undefined ? only : { conversions: conversions.value };
      say(
        streams.out,
        jsonText({ format: "stillpoint-conversion 1", ...body, ...(law.value.length > 0 ? { law: law.value } : {}) }),
      );
      return finish(EXIT.success);
    }
    for (const { from, results } of conversions.value) {
      if (another !== undefined) say(streams.out, `${from === only?.from ? "" : "\n"}${from}`);
      sayRows(streams, results);
    }
    finish(EXIT.success);
  });
};
