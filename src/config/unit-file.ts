import { pressureText } from "../vocabulary/pressure-units.ts";
import { mA } from "../vocabulary/quantities.ts";
import type { Result } from "../vocabulary/result.ts";
import { idealOutput, spanOf } from "../vocabulary/signal-range.ts";
import type { FileFault } from "./file-fault.ts";
import { type Blame, readFileText } from "./read-file.ts";
import { type UnitFile, unitFileSchema } from "./unit-file.schema.ts";
import { toleranceAt, transferOf } from "./unit-values.ts";

const checkRanges = (unit: UnitFile, blame: Blame): boolean => {
  const { input, output } = unit;
  if (input.lower.mA < 0) {
    blame(["input", "lower"], {
      code: "bad-value",
      message: `The input begins at ${input.lower.text}, below 0 mA.`,
      remedy: "Write a current from 0 mA up.",
    });
    return false;
  }
  if (input.upper.mA <= input.lower.mA) {
    blame(["input", "upper"], {
      code: "contradiction",
      message: `The input ends at ${input.upper.text}, which is not above its lower end ${input.lower.text}.`,
      remedy: "Write the lower current first; for a unit whose pressure falls, write action: reverse.",
    });
    return false;
  }
  if (output.upper.kPa <= output.lower.kPa) {
    blame(["output", "upper"], {
      code: "contradiction",
      message: `The output ends at ${output.upper.text}, which is not above its lower end ${output.lower.text}.`,
      remedy: "Write the lower pressure first; for a unit whose pressure falls, write action: reverse.",
    });
    return false;
  }
  return true;
};

const checkTolerance = (unit: UnitFile, blame: Blame): void => {
  const span = spanOf(transferOf(unit).output);
  const { tolerance, output } = unit;
  const atLower = toleranceAt(unit, output.lower.kPa);
  if (tolerance.kind === "percent-of-reading" && tolerance.percent > 0 && output.lower.kPa * output.upper.kPa <= 0) {
    blame(["tolerance"], {
      code: "contradiction",
      message: `${tolerance.text} allows no error at all where the output is zero, and the range holds zero.`,
      remedy: "Write the tolerance as %span or as a pressure.",
    });
  } else if (atLower <= 0) {
    blame(["tolerance"], {
      code: "bad-value",
      message: `The tolerance is ${tolerance.text}, but it has to be above zero.`,
      remedy: "Write the greatest error allowed either way, such as 0.5 %span.",
    });
  } else if (toleranceAt(unit, output.upper.kPa) > span) {
    blame(["tolerance"], {
      code: "contradiction",
      message: `The tolerance ${tolerance.text} is larger than the span ${pressureText(span, output.upper.unit)}.`,
      remedy: "Check the number and its unit, such as 0.5 %span.",
    });
  }
};

const checkSupply = (unit: UnitFile, blame: Blame): void => {
  const { supply, output } = unit;
  if (supply.lower.kPa <= 0 || supply.lower.kPa > supply.nominal.kPa) {
    blame(["supply", "lower"], {
      code: "contradiction",
      message: `The lowest supply ${supply.lower.text} is not between zero and the rated supply ${supply.nominal.text}.`,
      remedy: "Write lower, nominal and upper in rising order.",
    });
  } else if (supply.upper.kPa < supply.nominal.kPa) {
    blame(["supply", "upper"], {
      code: "contradiction",
      message: `The highest supply ${supply.upper.text} is below the rated supply ${supply.nominal.text}.`,
      remedy: "Write lower, nominal and upper in rising order.",
    });
  } else if (output.mode === "gauge" && supply.nominal.kPa <= output.upper.kPa) {
    blame(["supply", "nominal"], {
      code: "contradiction",
      message: `A supply of ${supply.nominal.text} cannot deliver an output of ${output.upper.text}.`,
      remedy: "Write the rated supply from the label; it lies above the upper range value.",
    });
  }
};

const checkUnit = (unit: UnitFile, blame: Blame): void => {
  if (!checkRanges(unit, blame)) return;
  checkTolerance(unit, blame);
  checkSupply(unit, blame);
  const { output, rated_maximum: rated, safe_current: safe } = unit;
  if (output.mode === "gauge" && rated.kPa < output.upper.kPa) {
    blame(["rated_maximum"], {
      code: "contradiction",
      message: `The rated maximum ${rated.text} is below the upper range value ${output.upper.text}.`,
      remedy: "Write the highest pressure from the label; it is at or above the upper range value.",
    });
  }
  const transfer = transferOf(unit);
  const end = unit.action === "direct" ? unit.input.lower : unit.input.upper;
  const atEnd = idealOutput(transfer, end.mA) + 1e-9 * spanOf(transfer.output);
  if (safe !== undefined && (safe.mA < 0 || idealOutput(transfer, mA(safe.mA)) > atEnd)) {
    blame(["safe_current"], {
      code: "contradiction",
      message: `At ${safe.text} the unit would not be left at its low-pressure end.`,
      remedy: `Leave safe_current out, or write ${end.text}.`,
    });
  }
  if (unit.output_step !== undefined && unit.output_step.kPa <= 0) {
    blame(["output_step"], {
      code: "bad-value",
      message: `The output step is ${unit.output_step.text}, but a step is above zero.`,
      remedy: "Write the smallest step of the output, or leave the key out.",
    });
  }
  if (unit.settling_limit !== undefined && unit.settling_limit.s < 1) {
    blame(["settling_limit"], {
      code: "bad-value",
      message: `A settling limit of ${unit.settling_limit.text} is shorter than a second; no reading could be taken.`,
      remedy: "Write the longest time the unit may take to stand still, such as 60 s.",
    });
  }
};

/** Text of a unit file to a checked unit. `fileName` is only used in messages. */
export const parseUnitFile = (text: string, fileName: string): Result<UnitFile, readonly FileFault[]> =>
  readFileText(unitFileSchema, text, fileName, checkUnit);
