import { kPa, mA, percentOfSpan } from "../../vocabulary/quantities.ts";
import {
  type Action,
  type Characteristic,
  idealOutput,
  inputFor,
  percentOf,
  pressureAt,
  type Transfer,
} from "../../vocabulary/signal-range.ts";

/** From one range to another, in any units. */
export interface ScalingLaw {
  readonly input: { readonly lower: number; readonly upper: number };
  readonly output: { readonly lower: number; readonly upper: number };
  readonly action: Action;
  readonly characteristic: Characteristic;
}

export type ScalingTerm = "input" | "input_percent" | "output_percent" | "output";

/** Plain numbers go in as if they were mA and kPa: the law of a unit under test knows no unit. */
const transferOf = ({ input, output, action, characteristic }: ScalingLaw): Transfer => ({
  input: { lower_mA: mA(input.lower), upper_mA: mA(input.upper) },
  output: { lower_kPa: kPa(output.lower), upper_kPa: kPa(output.upper), unit: "kPa", mode: "gauge" },
  action,
  characteristic,
});

/** Any one of the four gives the other three. */
export const scaled = (law: ScalingLaw, given: ScalingTerm, value: number): Readonly<Record<ScalingTerm, number>> => {
  const transfer = transferOf(law);
  const span = law.input.upper - law.input.lower;
  const current = (percent: number) => mA(law.input.lower + (percent / 100) * span);
  const fromInput = given === "input" ? mA(value) : given === "input_percent" ? current(value) : null;
  const output_percent =
    given === "output_percent"
      ? percentOfSpan(value)
      : percentOf(transfer.output, fromInput === null ? kPa(value) : idealOutput(transfer, fromInput));
  const input = fromInput ?? inputFor(transfer, output_percent);
  return {
    input,
    input_percent: given === "input_percent" ? value : (100 * (input - law.input.lower)) / span,
    output_percent,
    output: given === "output" ? value : pressureAt(transfer.output, output_percent),
  };
};
