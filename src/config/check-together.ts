import { currentRangeText, pressureRangeText } from "../vocabulary/signal-range.ts";
import type { BenchFile } from "./bench-file.schema.ts";
import { type FaultWords, type FileFault, type FilePath, type FileSource, faultAt, inOrder } from "./file-fault.ts";
import { didYouMean } from "./instrument-rules.ts";
import type { ReferenceCertificate } from "./measured-quantity.schema.ts";
import { type Reference, referencesOf } from "./reference-values.ts";
import type { UnitFile } from "./unit-file.schema.ts";
import { safeCurrentOf, transferOf } from "./unit-values.ts";

type Say = (path: FilePath, words: FaultWords) => void;

const BENCH: FileSource = { file: "bench file", places: {} };
const UNIT: FileSource = { file: "unit file", places: {} };

/** A reference may be used from the day of its calibration to the day it runs out, both included. */
const checkDates = (
  references: readonly (Reference<{ readonly certificate?: ReferenceCertificate | undefined }> & {
    readonly quantity: string;
  })[],
  today: string,
  sayBench: Say,
): void => {
  const told = new Set<string>();
  for (const { name, quantity, measured } of references) {
    const path = ["instruments", name, quantity, "certificate"];
    const { certificate } = measured;
    if (certificate === undefined || told.has(path.join("."))) continue;
    told.add(path.join("."));
    if (certificate.due < today) {
      sayBench([...path, "due"], {
        code: "out-of-date",
        message: `The ${quantity} calibration of ${name} ran out on ${certificate.due}; today is ${today}.`,
        remedy: "Have it calibrated and write its new certificate here, or use a bench whose reference is in date.",
      });
    } else if (certificate.date > today) {
      sayBench([...path, "date"], {
        code: "out-of-date",
        message: `The certificate of ${name} is dated ${certificate.date}, after today, ${today}.`,
        remedy: "Check the date here and the clock of this computer.",
      });
    }
  }
};

const checkPressures = (bench: BenchFile, unit: UnitFile, station: string, sayBench: Say, sayUnit: Say): void => {
  const { output } = transferOf(unit);
  const reference = referencesOf(bench, station).pressure;
  const gauge = reference?.measured;
  if (gauge !== undefined && gauge.mode !== output.mode) {
    sayUnit(["output", "mode"], {
      code: "contradiction",
      message: `The output is ${output.mode} pressure, but ${reference?.name} measures ${gauge.mode} pressure.`,
      remedy: `Use a ${output.mode} gauge, or correct the mode in the file that is wrong.`,
    });
    return;
  }
  if (output.upper_kPa > bench.limits.pressure.kPa) {
    sayUnit(["output", "upper"], {
      code: "out-of-range",
      message: `The unit delivers ${pressureRangeText(output)}, but the bench allows at most ${bench.limits.pressure.text}.`,
      remedy: "Use a bench that is built for this pressure.",
    });
  } else if (gauge !== undefined && (gauge.lower.kPa > output.lower_kPa || gauge.upper.kPa < output.upper_kPa)) {
    sayBench(["instruments", reference?.name ?? "", "pressure"], {
      code: "out-of-range",
      at: "key",
      message: `${reference?.name} covers ${gauge.lower.text} to ${gauge.upper.text}, but the unit delivers ${pressureRangeText(output)}.`,
      remedy: "Use a bench whose reference gauge covers the whole output range.",
    });
  }
  if (bench.limits.pressure.kPa > unit.rated_maximum.kPa) {
    sayBench(["limits", "pressure"], {
      code: "out-of-range",
      message: `The bench allows ${bench.limits.pressure.text}, but the unit is rated for ${unit.rated_maximum.text} at most.`,
      remedy: `Use a bench limited to ${unit.rated_maximum.text} or less, with a regulator and relief to match.`,
    });
  }
  const supply = referencesOf(bench, station).supply;
  if (supply !== null && (supply.measured.upper.kPa < unit.supply.upper.kPa || supply.measured.lower.kPa > 0)) {
    sayBench(["instruments", supply.name, "pressure"], {
      code: "out-of-range",
      at: "key",
      message: `${supply.name} covers ${supply.measured.lower.text} to ${supply.measured.upper.text}, but the supply may reach ${unit.supply.upper.text}.`,
      remedy: "Use a supply gauge that covers zero to the highest supply of the unit.",
    });
  }
};

const checkCurrents = (bench: BenchFile, unit: UnitFile, station: string, sayBench: Say, sayUnit: Say): void => {
  const { input } = transferOf(unit);
  const { current: limits } = bench.limits;
  const safe = safeCurrentOf(unit);
  const outside = (lower: number, upper: number): boolean => input.lower_mA < lower || input.upper_mA > upper;
  const slots = bench.stations[station];
  const source = bench.instruments[slots?.source ?? ""]?.current;
  const meter = bench.instruments[slots?.current_meter ?? ""]?.current;
  if (outside(limits.lower.mA, limits.upper.mA)) {
    sayUnit(["input"], {
      code: "out-of-range",
      at: "key",
      message: `The unit takes ${currentRangeText(input)}, but the bench allows ${limits.lower.text} to ${limits.upper.text}.`,
      remedy: "Use a bench that allows these currents.",
    });
  } else if (source !== undefined && outside(source.lower.mA, source.upper.mA)) {
    sayUnit(["input"], {
      code: "out-of-range",
      at: "key",
      message: `The unit takes ${currentRangeText(input)}, but ${slots?.source} drives ${source.lower.text} to ${source.upper.text}.`,
      remedy: "Use a bench whose source drives the whole input range.",
    });
  } else if (meter !== undefined && outside(meter.lower.mA, meter.upper.mA)) {
    sayBench(["instruments", slots?.current_meter ?? "", "current"], {
      code: "out-of-range",
      at: "key",
      message: `${slots?.current_meter} covers ${meter.lower.text} to ${meter.upper.text}, but the unit takes ${currentRangeText(input)}.`,
      remedy: "Use a bench whose current meter covers the whole input range.",
    });
  } else if (safe < limits.lower.mA || safe > limits.upper.mA) {
    sayUnit(["safe_current"], {
      code: "out-of-range",
      message: `The unit is to be left at ${unit.safe_current?.text}, but the bench allows ${limits.lower.text} to ${limits.upper.text}.`,
      remedy: "Write a safe current that the bench may drive, or leave safe_current out.",
    });
  }
};

/**
 * What neither file can know alone: whether this unit may be tested at this station today. `today` is the calendar day
 * at the bench, `YYYY-MM-DD`. An empty list means yes. Each fault names the file and place that has to change.
 */
export const checkTogether = (
  bench: BenchFile,
  unit: UnitFile,
  station: string,
  today: string,
): readonly FileFault[] => {
  const faults: FileFault[] = [];
  const sayBench: Say = (path, words) => faults.push(faultAt(bench.source ?? BENCH, path, words));
  const sayUnit: Say = (path, words) => faults.push(faultAt(unit.source ?? UNIT, path, words));
  const names = Object.keys(bench.stations);
  if (!Object.hasOwn(bench.stations, station)) {
    sayBench(["stations"], {
      code: "unknown-name",
      at: "key",
      message: `There is no station ${station}.`,
      remedy: `${didYouMean(station, names)}Stations of this bench are ${names.join(", ")}.`,
    });
    return faults;
  }
  const { pressure, current, supply, temperature } = referencesOf(bench, station);
  checkDates(
    [
      ...(pressure === null ? [] : [{ ...pressure, quantity: "pressure" }]),
      ...(current === null ? [] : [{ ...current, quantity: "current" }]),
      ...(supply === null ? [] : [{ ...supply, quantity: "pressure" }]),
      ...(temperature === null ? [] : [{ ...temperature, quantity: "temperature" }]),
    ],
    today,
    sayBench,
  );
  checkPressures(bench, unit, station, sayBench, sayUnit);
  checkCurrents(bench, unit, station, sayBench, sayUnit);
  return inOrder(faults);
};
