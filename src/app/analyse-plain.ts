import { analyseData, type DataAnalysis, type DataOptions } from "../analysis/analyse-data.ts";
import { faultOfFiles } from "../config/file-fault.ts";
import { type PlainData, parseDataCsv, parseDataJson } from "../readings/plain-data.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { NamedText } from "./job-files.ts";

/** Whether a file holds plain columns (`y`, `x` and `y`) and no readings of a converter. */
export const isPlainData = (text: string): boolean => {
  if (/^\s*\{/u.test(text)) return /"stillpoint-data 1"/u.test(text.slice(0, 400));
  const lines = text.replace(/^\uFEFF/u, "").split(/\r\n|\n|\r/u);
  const columns = lines.find((line) => line.trim() !== "" && !/^\s*"?#/u.test(line)) ?? "";
  return /(?:^|[;,\t"])\s*y(?:_[^;,\t]*)?\s*(?:$|[;,\t"])/u.test(columns);
};

export interface AnalysedData {
  readonly data: PlainData;
  readonly analysis: DataAnalysis;
}

/** Plain columns of numbers to figures. */
export const analysePlain = ({ name, text }: NamedText, options: DataOptions = {}): Result<AnalysedData, Fault> => {
  const parsed = /^\s*\{/u.test(text) ? parseDataJson(text, name) : parseDataCsv(text, name);
  if (!parsed.ok) return err(faultOfFiles(parsed.fault));
  const analysis = analyseData(parsed.value, options);
  return analysis.ok ? ok({ data: parsed.value, analysis: analysis.value }) : analysis;
};
