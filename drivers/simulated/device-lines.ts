import type { DeviceName } from "./bench-settings.ts";
import { identityOf } from "./device-identity.ts";
import { gaugeIndication } from "./gauge-indication.ts";
import type { SimulatedBench } from "./simulated-bench.ts";

/**
 * Instruments that speak lines: IEEE 488.2 common commands and SCPI style headers, as the line profiles describe them.
 * A line in, the answer without its ending out; null when a command has no answer.
 */
export interface LineInstrument {
  receive(line: string): string | null;
}

/** Error numbers and words of SCPI-1999, volume 2, chapter 21. */
const ERRORS = {
  undefinedHeader: '-113,"Undefined header"',
  missingParameter: '-109,"Missing parameter"',
  dataType: '-104,"Data type error"',
  outOfRange: '-222,"Data out of range"',
  queueOverflow: '-350,"Queue overflow"',
} as const;

const QUEUE_LENGTH = 10;
/** SCPI's stand-in for "not a number". */
const NOT_A_NUMBER = "9.91E+37";

const numberText = (value: number): string =>
  Number.isFinite(value) ? String(Number(value.toPrecision(9))) : NOT_A_NUMBER;

/** The argument is the text behind the header. An answer, nothing, or an error for the queue. */
type Handler = (argument: string) => string | null | { readonly error: string };

/** Headers are taken in their short and their long form, in any case, as SCPI has it. */
type Commands = readonly (readonly [header: RegExp, handler: Handler])[];

const lineInstrument = (own: Commands): LineInstrument => {
  const errors: string[] = [];
  const commands: Commands = [
    ...own,
    [/^:?syst(?:em)?:err(?:or)?(?::next)?\?$/iu, () => errors.shift() ?? '0,"No error"'],
    [
      /^\*cls$/iu,
      () => {
        errors.length = 0;
        return null;
      },
    ],
    [/^\*opc\?$/iu, () => "1"],
  ];
  const complain = (error: string): null => {
    if (errors.length < QUEUE_LENGTH) errors.push(error);
    else errors[QUEUE_LENGTH - 1] = ERRORS.queueOverflow;
    return null;
  };
  return {
    receive: (line) => {
      const [header = "", ...rest] = line.trim().split(/\s+/u);
      if (header === "") return null;
      const handler = commands.find(([pattern]) => pattern.test(header))?.[1];
      if (handler === undefined) return complain(ERRORS.undefinedHeader);
      const outcome = handler(rest.join(" "));
      return outcome === null || typeof outcome === "string" ? outcome : complain(outcome.error);
    },
  };
};

const identityText = (bench: SimulatedBench, device: DeviceName): string => {
  const { maker, model, serial_number, version } = identityOf(bench, device);
  return [maker, model, serial_number, version].join(",");
};

const gaugeLines = (bench: SimulatedBench): LineInstrument =>
  lineInstrument([
    [/^\*idn\?$/iu, () => identityText(bench, "gauge")],
    [/^:?unit:pres(?:sure)?\?$/iu, () => bench.gaugeState.unit],
    [/^:?meas(?:ure)?:pres(?:sure)?\?$/iu, () => numberText(gaugeIndication(bench))],
  ]);

const DECIMAL = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/u;

const sourceLines = (bench: SimulatedBench): LineInstrument => {
  const { source } = bench;
  const set: Handler = (argument) => {
    if (argument === "") return { error: ERRORS.missingParameter };
    if (!DECIMAL.test(argument)) return { error: ERRORS.dataType };
    return source.set(Number(argument)) ? null : { error: ERRORS.outOfRange };
  };
  return lineInstrument([
    [/^\*idn\?$/iu, () => identityText(bench, "source")],
    [/^:?sour(?:ce)?:curr(?:ent)?$/iu, set],
    [/^:?sour(?:ce)?:curr(?:ent)?\?$/iu, () => numberText(source.commanded_mA())],
    [/^:?meas(?:ure)?:curr(?:ent)?\?$/iu, () => numberText(source.current_mA())],
  ]);
};

/** Lines of one simulated instrument; only gauge and source speak lines. */
export const deviceLines = (bench: SimulatedBench, device: "gauge" | "source"): LineInstrument =>
  device === "gauge" ? gaugeLines(bench) : sourceLines(bench);
