import { performance } from "node:perf_hooks";
import type { BenchFile } from "../config/bench-file.schema.ts";
import { parseBenchFile } from "../config/bench-file.ts";
import { faultOfFiles } from "../config/file-fault.ts";
import type { KnownParts } from "../config/known-drivers.ts";
import { type Fault, fault } from "../vocabulary/fault.ts";
import { type Milliamp, seconds } from "../vocabulary/quantities.ts";
import { err, ok, type Result } from "../vocabulary/result.ts";
import type { Endpoints } from "./endpoints.ts";
import { readText } from "./job-files.ts";
import { openStation } from "./open-station.ts";

export interface SafeRequest {
  /** Path of the bench file. */
  readonly bench: string;
  readonly station?: string | undefined;
  readonly current: Milliamp;
  readonly endpoints: Endpoints | null;
  readonly known: KnownParts;
}

/** Drives a source to a current inside the bench's limits and gives what the source then says of itself. */
export const makeBenchSafe = async (request: SafeRequest): Promise<Result<Milliamp, Fault>> => {
  const text = readText(request.bench);
  if (!text.ok) return text;
  const bench = parseBenchFile(text.value, request.bench, request.known);
  if (!bench.ok) return err(faultOfFiles(bench.fault));
  const { lower, upper } = bench.value.limits.current;
  if (request.current < lower.mA || request.current > upper.mA) {
    return err(
      fault(
        "refused",
        "bad-set-point",
        `${request.current} mA is outside the limits of the bench, ${lower.text} to ${upper.text}.`,
        {
          means: "Nothing was opened.",
        },
      ),
    );
  }
  const names = Object.keys(bench.value.stations);
  const station = request.station ?? names[0] ?? "";
  if (!names.includes(station)) {
    return err(fault("refused", "bad-option", `There is no station ${station}; there are ${names.join(", ")}.`));
  }
  return driveSafe(bench.value, station, request.current, request.endpoints);
};

/** Sets the source of a station, reads it back, and leaves the lines closed. */
export const driveSafe = async (
  bench: BenchFile,
  station: string,
  current: Milliamp,
  endpoints: Endpoints | null,
): Promise<Result<Milliamp, Fault>> => {
  const started = performance.now();
  const stamp = () => seconds((performance.now() - started) / 1000);
  const opened = await openStation(bench, station, { stamp, endpoints });
  if (!opened.ok) return opened;
  try {
    const set = await opened.value.instruments.source.set(current);
    if (!set.ok) return set;
    const back = await opened.value.instruments.source.readBack();
    return back.ok ? ok(back.value.value.mA) : back;
  } finally {
    await opened.value.close();
  }
};
