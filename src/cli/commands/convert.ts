import { Option } from "commander";
import { rangesTransfer } from "../../app/ranges-transfer.ts";
import { fault } from "../../vocabulary/fault.ts";
import { fromKilopascal, isPressureUnit, PRESSURE_UNITS, pressureUnitNames } from "../../vocabulary/pressure-units.ts";
import { percentOfSpan } from "../../vocabulary/quantities.ts";
import { parseQuantity } from "../../vocabulary/quantity-text.ts";
import {
  type Action,
  type Characteristic,
  idealOutput,
  inputFor,
  percentOf,
  type Transfer,
} from "../../vocabulary/signal-range.ts";
import { EXIT } from "../exit-codes.ts";
import { sayFault } from "../say-fault.ts";
import { say } from "../streams.ts";
import type { CommandModule } from "./index.ts";

interface Options {
  readonly to?: string;
  readonly input?: string;
  readonly output?: string;
  readonly action: Action;
  readonly characteristic: Characteristic;
  readonly json?: boolean;
  readonly units?: boolean;
}

type Row = readonly [name: string, value: number, unit: string];

/** Every way of saying a pressure. */
const pressureRows = (kPa: Parameters<typeof fromKilopascal>[0], to: string | undefined): readonly Row[] =>
  (to !== undefined && isPressureUnit(to) ? [to] : pressureUnitNames).map(
    (unit): Row => ["pressure", fromKilopascal(kPa, unit), unit],
  );

/** Through the transfer of a unit: current to ideal output, or output (or % of span) to the current for it. */
const throughTransfer = (transfer: Transfer, text: string, to: string): readonly Row[] | string => {
  const quantity = parseQuantity(text);
  if (!quantity.ok) return `${quantity.fault.message} ${quantity.fault.remedy}`;
  const { value } = quantity;
  const unit = isPressureUnit(to) ? to : transfer.output.unit;
  switch (value.kind) {
    case "current": {
      const pressure = idealOutput(transfer, value.mA);
      return [
        ["output", fromKilopascal(pressure, unit), unit],
        ["share", percentOf(transfer.output, pressure), "% of span"],
      ];
    }
    case "pressure":
    case "percent-of-span": {
      const percent = value.kind === "pressure" ? percentOf(transfer.output, value.kPa) : value.percent;
      return [
        ["input", inputFor(transfer, percentOfSpan(percent)), "mA"],
        ["share", percent, "% of span"],
      ];
    }
    default:
      return `"${text}" is neither a current, a pressure nor a percentage of span; write it like 12 mA, 9 psi or 50 %span.`;
  }
};

const rowsOf = (text: string, options: Options): readonly Row[] | string => {
  if (options.input !== undefined || options.output !== undefined) {
    const transfer = rangesTransfer(
      options.input ?? "4 mA to 20 mA",
      options.output ?? "",
      options.action,
      options.characteristic,
    );
    return transfer.ok ? throughTransfer(transfer.value, text, options.to ?? "") : transfer.fault;
  }
  const quantity = parseQuantity(text);
  if (!quantity.ok) return `${quantity.fault.message} ${quantity.fault.remedy}`;
  if (quantity.value.kind !== "pressure")
    return `"${text}" is not a pressure; to convert a current, give --output, such as --output "3 psi to 15 psi".`;
  if (options.to !== undefined && !isPressureUnit(options.to))
    return `"${options.to}" is not a pressure unit; choose one of ${pressureUnitNames.join(", ")}.`;
  return pressureRows(quantity.value.kPa, options.to);
};

export const define: CommandModule["define"] = (command, streams, finish) => {
  command
    .argument("[quantity]", "such as `9 psi`, `12 mA` or `50 %span`")
    .option("--to <unit>", "pressure unit of the result; all of them when left out")
    .option("--input <range>", "input range, such as `4 mA to 20 mA`")
    .option("--output <range>", "output range, such as `3 psi to 15 psi`: converts through the unit")
    .addOption(new Option("--action <action>", "of the unit").choices(["direct", "reverse"]).default("direct"))
    .addOption(
      new Option("--characteristic <shape>", "of the unit").choices(["linear", "square-root"]).default("linear"),
    )
    .option("--units", "list the pressure units and their factors")
    .option("--json", "print the result as JSON")
    .addHelpText(
      "after",
      '\nExamples:\n  stillpoint convert "9 psi" --to kPa\n  stillpoint convert "10.6 mA" --output "150 psi to 400 psi"\n  stillpoint convert "62 kPa" --input "4 mA to 12 mA" --output "20 kPa to 100 kPa"\n',
    )
    .action((text: string | undefined, options: Options) => {
      if (options.units) {
        for (const name of pressureUnitNames)
          say(
            streams.out,
            `${name.padEnd(22)} ${String(PRESSURE_UNITS[name].pascal).padEnd(20)} Pa  ${PRESSURE_UNITS[name].basis}`,
          );
        return finish(EXIT.success);
      }
      const rows =
        text === undefined
          ? 'What is to be converted? Give it like: stillpoint convert "9 psi" --to kPa.'
          : rowsOf(text, options);
      if (typeof rows === "string") return finish(sayFault(streams, fault("refused", "bad-option", rows)));
      if (options.json) {
        say(
          streams.out,
          JSON.stringify({
            format: "stillpoint-conversion 1",
            from: text,
            results: rows.map(([name, value, unit]) => ({ name, value, unit })),
          }),
        );
      } else
        for (const [name, value, unit] of rows) say(streams.out, `${name}  ${Number(value.toPrecision(12))} ${unit}`);
      finish(EXIT.success);
    });
};
