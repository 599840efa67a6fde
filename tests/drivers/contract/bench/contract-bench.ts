import { parseArgs } from "node:util";
import { readEndpoints } from "../../../../src/app/endpoints.ts";
import { readText } from "../../../../src/app/job-files.ts";
import { knownParts } from "../../../../src/app/known-parts.ts";
import { parseBenchFile } from "../../../../src/config/bench-file.ts";
import { faultOfFiles } from "../../../../src/config/file-fault.ts";
import { type Fault, faultText } from "../../../../src/vocabulary/fault.ts";
import type { Milliamp } from "../../../../src/vocabulary/quantities.ts";
import { parseQuantityOf } from "../../../../src/vocabulary/quantity-text.ts";
import { checkBench } from "./check-bench.ts";

/**
 * `npm run contract:bench -- FILE` holds the instruments of a bench file to the contract of the drivers and writes to none
 * of them. `--with-output "4 mA"` also drives the source: to that current, a little beyond it, and back.
 * Ends with 0 when all is well, 1 when an instrument does not hold, 2 when nothing was opened.
 */
const USE = `npm run contract:bench -- FILE [--station NAME] [--simulator ENDPOINTS] [--with-output "4 mA"] [--json]`;

const refuse = (message: string): never => {
  process.stderr.write(`${message}\n`);
  process.exit(2);
};

const or = <T>(read: { ok: true; value: T } | { ok: false; fault: Fault }): T =>
  read.ok ? read.value : refuse(faultText(read.fault));

const options = (() => {
  try {
    return parseArgs({
      allowPositionals: true,
      options: {
        station: { type: "string" },
        simulator: { type: "string" },
        "with-output": { type: "string" },
        json: { type: "boolean", default: false },
      },
    });
  } catch (error) {
    return refuse(`${error instanceof Error ? error.message : String(error)}\n${USE}`);
  }
})();

const { values, positionals } = options;
const [file, ...rest] = positionals;
if (file === undefined || rest.length > 0) refuse(USE);
const path = file ?? "";
const parsed = parseBenchFile(or(readText(path)), path, knownParts());
const bench = parsed.ok ? parsed.value : refuse(faultText(faultOfFiles(parsed.fault)));
const all = Object.keys(bench.stations);
if (values.station !== undefined && !all.includes(values.station)) {
  refuse(`There is no station ${values.station}; there are ${all.join(", ")}.`);
}
const wanted = values["with-output"];
let output: Milliamp | null = null;
if (wanted !== undefined) {
  const { lower, upper } = bench.limits.current;
  const current = parseQuantityOf("current", wanted);
  output = current.ok ? current.value.mA : refuse(`${current.fault.message} ${current.fault.remedy}`);
  if (output < lower.mA || output + 0.2 > upper.mA) {
    refuse(`${wanted}, and 0.2 mA more, has to lie inside the limits of the bench, ${lower.text} to ${upper.text}.`);
  }
}
const endpoints = values.simulator === undefined ? null : or(readEndpoints(values.simulator));
const reports = await checkBench(bench, values.station === undefined ? all : [values.station], endpoints, output);

if (values.json) process.stdout.write(`${JSON.stringify(reports)}\n`);
else {
  const kind = bench.simulation === undefined ? "" : "SIMULATED. ";
  process.stdout.write(
    `${kind}${bench.name}: ${output === null ? "nothing is written to any instrument" : `the source is driven near ${output} mA`}\n`,
  );
  for (const { station, role, instrument, findings } of reports) {
    process.stdout.write(`\n${instrument} as ${role} of ${station}\n`);
    const width = Math.max(...findings.map(({ check }) => check.length));
    for (const { check, outcome, saw } of findings) {
      process.stdout.write(`  ${outcome.padEnd(7)}  ${check.padEnd(width)}  ${saw}\n`);
    }
  }
}
const found = reports.flatMap(({ findings }) => findings);
const count = (outcome: string): number => found.filter((each) => each.outcome === outcome).length;
if (!values.json) {
  process.stdout.write(
    `\n${count("passed")} passed, ${count("failed")} failed, ${count("skipped")} skipped (each with its reason above).\n`,
  );
}
process.exitCode = count("failed") > 0 || reports.length === 0 ? 1 : 0;
