import { nearestWord } from "../vocabulary/nearest-word.ts";
import { type Kilopascal, kPa, type PressureMode } from "../vocabulary/quantities.ts";
import type { Result } from "../vocabulary/result.ts";
import type { FileFault } from "./file-fault.ts";
import { type LaboratoryFile, laboratoryFileSchema } from "./laboratory-file.schema.ts";
import { type Blame, readFileText } from "./read-file.ts";
import { inKilopascal } from "./unit-values.ts";

const isTimeZone = (name: string): boolean => {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    return false;
  }
};

const checkLaboratory = (laboratory: LaboratoryFile, blame: Blame): void => {
  const { time_zone: zone, next_due: next } = laboratory;
  if (!isTimeZone(zone)) {
    const near = nearestWord(zone, ["UTC", ...Intl.supportedValuesOf("timeZone")]);
    blame(["time_zone"], {
      code: "unknown-name",
      message: `There is no time zone ${zone}.`,
      remedy: `${near === null ? "" : `Did you mean ${near}? `}Write continent and city, such as Europe/Brussels, or UTC.`,
    });
  }
  if (next.agreed && next.agreement === undefined) {
    blame(["next_due", "agreed"], {
      code: "missing-key",
      message: "A next date was agreed, but not where.",
      remedy: "Add agreement: with the order or contract that says so, or write agreed: false.",
    });
  }
  laboratory.smallest_uncertainties.forEach((entry, index) => {
    if (entry.upper.kPa <= entry.lower.kPa) {
      blame(["smallest_uncertainties", index, "upper"], {
        code: "contradiction",
        message: `The upper end ${entry.upper.text} is not above the lower end ${entry.lower.text}.`,
        remedy: "Write the lower pressure first.",
      });
    } else if (entry.U.kind === "pressure" ? entry.U.kPa <= 0 : entry.U.percent <= 0) {
      blame(["smallest_uncertainties", index, "U"], {
        code: "bad-value",
        message: `U is ${entry.U.text}, but no uncertainty is zero or less.`,
        remedy: "Write the smallest expanded uncertainty of the scope, such as 0.02 kPa.",
      });
    }
  });
};

/** Text of a laboratory file to checked settings. `fileName` is only used in messages. */
export const parseLaboratoryFile = (text: string, fileName: string): Result<LaboratoryFile, readonly FileFault[]> =>
  readFileText(laboratoryFileSchema, text, fileName, checkLaboratory);

/** Smallest U that may be claimed at a pressure, kPa; null where the scope says nothing. Overlaps: the largest counts. */
export const smallestUAt = (
  laboratory: LaboratoryFile,
  pressure: Kilopascal,
  mode: PressureMode,
): Kilopascal | null => {
  const claims = laboratory.smallest_uncertainties
    .filter((entry) => entry.mode === mode && pressure >= entry.lower.kPa && pressure <= entry.upper.kPa)
    .map((entry) => inKilopascal(entry.U, kPa(entry.upper.kPa - entry.lower.kPa), pressure));
  return claims.length === 0 ? null : kPa(Math.max(...claims));
};
