import { editDistance } from "../vocabulary/nearest-word.ts";
import type { Result } from "../vocabulary/result.ts";
import { type BenchFile, benchFileSchema, type LinkSettings } from "./bench-file.schema.ts";
import type { FileFault } from "./file-fault.ts";
import { checkInstruments } from "./instrument-rules.ts";
import type { KnownParts } from "./known-drivers.ts";
import { type Blame, readFileText } from "./read-file.ts";
import { checkStations } from "./station-rules.ts";

const SIMULATED = "simulated";

/** Where a link leads: port of a serial line, host of a TCP link. */
const endOf = (link: LinkSettings): { readonly key: "port" | "host"; readonly end: string } =>
  link.kind === "serial" ? { key: "port", end: link.port } : { key: "host", end: link.host };

/** Whether a link leads to the simulated bench. */
export const isSimulatedLink = (link: LinkSettings): boolean => endOf(link).end === SIMULATED;

/** A bench is simulated or real, never both: a mixture could pass for real. */
const checkSimulation = (bench: BenchFile, blame: Blame): void => {
  for (const [name, link] of Object.entries(bench.links)) {
    const { key, end } = endOf(link);
    const path = ["links", name, key];
    if (end !== SIMULATED && editDistance(end, SIMULATED) <= 2) {
      blame(path, {
        code: "bad-value",
        message: `"${end}" is neither a ${key} nor the word simulated.`,
        remedy: "Write simulated, in lower case.",
      });
    } else if (end === SIMULATED && bench.simulation === undefined) {
      blame(path, {
        code: "contradiction",
        message: `The link ${name} is simulated, but the file has no simulation section.`,
        remedy: `Add simulation: to the file, or write the real ${key} here.`,
      });
      return;
    } else if (end !== SIMULATED && bench.simulation !== undefined) {
      blame(path, {
        code: "contradiction",
        message: `The file has a simulation section, but the link ${name} leads to the real ${key} ${end}.`,
        remedy: `Write ${key}: simulated, or take the simulation section out.`,
      });
      return;
    }
  }
  if (bench.simulation !== undefined && Object.keys(bench.links).length === 0) {
    blame(["simulation"], {
      code: "contradiction",
      at: "key",
      message: "The file has a simulation section, but no link leads to it.",
      remedy: "Add a link with port: simulated or host: simulated.",
    });
  }
};

const checkOwnLimits = ({ limits }: BenchFile, blame: Blame): void => {
  if (limits.current.lower.mA < 0) {
    blame(["limits", "current", "lower"], {
      code: "bad-value",
      message: `The lowest current is ${limits.current.lower.text}, but a loop current does not run backwards.`,
      remedy: "Write 0 mA or more.",
    });
  } else if (limits.current.upper.mA <= limits.current.lower.mA) {
    blame(["limits", "current", "upper"], {
      code: "contradiction",
      message: `The highest current ${limits.current.upper.text} is not above the lowest, ${limits.current.lower.text}.`,
      remedy: "Write lower and upper in rising order, such as 0 mA and 22 mA.",
    });
  }
  if (limits.pressure.kPa <= 0) {
    blame(["limits", "pressure"], {
      code: "bad-value",
      message: `The pressure limit is ${limits.pressure.text}; nothing could be done under it.`,
      remedy: "Write the lowest rated maximum of hose, fittings, reference and regulator.",
    });
  }
};

const checkDeadlines = (bench: BenchFile, blame: Blame): void => {
  for (const [name, link] of Object.entries(bench.links)) {
    for (const key of ["answer_deadline", "quiet_after_trouble"] as const) {
      if (link[key].s > 0) continue;
      blame(["links", name, key], {
        code: "bad-value",
        message: `${key} is ${link[key].text}, but it has to be longer than nothing.`,
        remedy: "Write a time somewhat longer than the slowest answer, such as 500 ms.",
      });
    }
  }
};

/** Text of a bench file to a checked bench. `fileName` is only used in messages. */
export const parseBenchFile = (
  text: string,
  fileName: string,
  known: KnownParts,
): Result<BenchFile, readonly FileFault[]> =>
  readFileText(benchFileSchema, text, fileName, (bench, tell) => {
    let told = 0;
    const blame: Blame = (path, words) => {
      told += 1;
      tell(path, words);
    };
    checkDeadlines(bench, blame);
    checkSimulation(bench, blame);
    checkOwnLimits(bench, blame);
    checkInstruments(bench, known, blame);
    checkStations(bench, known, told === 0, blame);
  });
