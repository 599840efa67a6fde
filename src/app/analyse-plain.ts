import { analyseData, type DataAnalysis, type DataOptions } from "../analysis/analyse-data.ts";
import { type PlainData, parseDataCsv, parseDataJson } from "../readings/plain-data.ts";
import { type LineControl, type LineInUse, lineControl } from "../uncertainty/check-standard.ts";
import { type FitInference, fitInference } from "../uncertainty/fit-inference.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { NamedText } from "./job-files.ts";
import { type DynamicsChoice, type PlainDynamics, plainDynamics } from "./plain-dynamics.ts";
import { refusedFile } from "./refused-file.ts";

/** Whether a file holds plain columns (`y`, `x` and `y`) and no readings of a converter. */
export const isPlainData = (text: string): boolean => {
  if (/^\s*\{/u.test(text)) return /"stillpoint-data 1"/u.test(text.slice(0, 400));
  const lines = text.replace(/^\uFEFF/u, "").split(/\r\n|\n|\r/u);
  const columns = lines.find((line) => line.trim() !== "" && !/^\s*"?#/u.test(line)) ?? "";
  return /(?:^|[;,\t"])\s*y(?:_[^;,\t]*)?\s*(?:$|[;,\t"])/u.test(columns);
};

export interface PlainChoice extends DataOptions, DynamicsChoice {
  /** Probability of everything that is held against t or F. */
  readonly probability?: number;
  /** Values to be read from the fit. */
  readonly at?: readonly number[];
  /** Standard uncertainty of each y. */
  readonly u_y?: number;
  /** A line in use, that the values are readings of check standards against. */
  readonly line?: LineInUse;
}

export interface AnalysedData {
  readonly data: PlainData;
  readonly analysis: DataAnalysis;
  readonly inference: FitInference | null;
  readonly control: LineControl | null;
  readonly dynamics: PlainDynamics | null;
}

const USUAL_PROBABILITY = 0.95;

const refused = (message: string, remedy: string): Result<never, Fault> =>
  err(fault("refused", "bad-option", message, { remedy }));

/** Plain columns of numbers to figures. */
export const analysePlain = ({ name, text }: NamedText, choice: PlainChoice = {}): Result<AnalysedData, Fault> => {
  const parsed = /^\s*\{/u.test(text) ? parseDataJson(text, name) : parseDataCsv(text, name);
  if (!parsed.ok) return refusedFile(parsed.fault);
  const data = parsed.value;
  const { probability = USUAL_PROBABILITY, at = [], u_y = null, line, log_decrement, step, leak, ...options } = choice;
  const analysis = analyseData(data, options);
  if (!analysis.ok) return analysis;
  const { fit } = analysis.value;
  const one = data.x.length === 1;
  const inference = one && fit !== null ? fitInference(fit, probability, at, u_y) : null;
  const asked = at.length > 0 ? "--at" : u_y === null ? null : "--u-y";
  if (inference === null && asked !== null) {
    return refused(
      `${asked} needs a fit over one column x with more values than terms.`,
      one ? "Give more values, or a fit of a lower degree." : "Give one column x.",
    );
  }
  if (line !== undefined && !one) {
    return refused("A line in use is checked by readings y of known x.", "Give the file the columns x and y.");
  }
  const control =
    line === undefined
      ? null
      : lineControl(
          line,
          data.rows.map(({ x, y, group }) => ({ x: x[0] ?? Number.NaN, y, group })),
          probability,
        );
  const dynamics = plainDynamics(data, {
    ...(log_decrement === undefined ? {} : { log_decrement }),
    ...(step === undefined ? {} : { step }),
    ...(leak === undefined ? {} : { leak }),
  });
  if (!dynamics.ok) return dynamics;
  return ok({ data, analysis: analysis.value, inference, control, dynamics: dynamics.value });
};
