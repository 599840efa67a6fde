import { referencesOf } from "../config/reference-values.ts";
import { transferOf } from "../config/unit-values.ts";
import type { SettlingChoice, TestPlan } from "../plan/test-plan.ts";
import { decodeRecord } from "../readings/record-codec.ts";
import type { RecordedEvent, RunEventOf } from "../readings/run-event.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { kPa, mA } from "../vocabulary/quantities.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import { filesOf, readRecord } from "./certify.ts";
import { knownParts } from "./known-parts.ts";
import type { NamedWait, ReplaySource } from "./replay-source.ts";

type Ended = RunEventOf<"point-captured"> | RunEventOf<"point-not-settled">;

interface Commanded {
  readonly at_s: number;
  readonly percent: number;
}

/** The rule as the plan in the record names it: the record keeps the plan as it was agreed. */
const settlingOf = (plan: unknown): SettlingChoice | null => (plan as Partial<TestPlan> | null)?.settling ?? null;

const saidInRun = (event: Ended): string =>
  event.kind === "point-captured"
    ? `settled after ${event.settle_time_s.toFixed(1)} s`
    : `${event.verdict.kind.replaceAll("-", " ")}, no reading`;

const waitOf = (
  event: Ended,
  commands: readonly Commanded[],
  transfer: Transfer,
  resolution_percent: number | null,
): NamedWait => {
  const { stage, ordinal, nominal_percent, direction } = event.point;
  const last = commands.at(-1);
  const from = commands.at(-2)?.percent ?? nominal_percent;
  return {
    name: `${stage.replace("-", " ")} ${ordinal}, ${nominal_percent} % ${direction}`,
    unit: "the unit",
    start: { at_s: last?.at_s ?? event.samples.at_s[0] ?? 0, from, to: nominal_percent, role: "point" },
    samples: event.samples.at_s.map((time_s, i) => {
      const pressure_kPa = event.samples.pressure_kPa[i] ?? null;
      return { time_s, value: pressure_kPa === null ? null : percentOf(transfer.output, kPa(pressure_kPa)) };
    }),
    resolution_percent,
    said: saidInRun(event),
    range_kPa: { lower: transfer.output.lower_kPa, upper: transfer.output.upper_kPa },
  };
};

const waitsOf = (
  events: readonly RecordedEvent[],
  transfer: Transfer,
  resolution_percent: number | null,
): readonly NamedWait[] => {
  const commands: Commanded[] = [];
  const waits: NamedWait[] = [];
  for (const { at_s, event } of events) {
    if (event.kind === "commanded")
      commands.push({ at_s, percent: percentOf(transfer.output, idealOutput(transfer, mA(event.current_mA))) });
    if (event.kind === "point-captured" || event.kind === "point-not-settled")
      waits.push(waitOf(event, commands, transfer, resolution_percent));
  }
  return waits;
};

/** The waits of every point of a run record, with the unit's range and the gauge's digit from the files inside it. */
export const readRecordedWaits = (text: string): Result<ReplaySource, Fault> => {
  const decoded = decodeRecord(text);
  if (!decoded.ok) return decoded;
  const record = readRecord(text);
  if (!record.ok) return record;
  const { header, simulated } = record.value;
  const files = filesOf(record.value, knownParts());
  if (!files.ok) return files;
  const transfer = transferOf(files.value.unit);
  const digit = referencesOf(files.value.bench, header.station).pressure?.measured.resolution?.kPa;
  const resolution_percent = digit === undefined ? null : (100 * digit) / spanOf(transfer.output);
  return ok({
    waits: waitsOf(decoded.value.events, transfer, resolution_percent),
    simulated,
    settling: settlingOf(header.plan),
    remarks: [
      "The record keeps the readings of the points and not those of the exercise strokes: a rule that learns in them knew the unit better in the run than here.",
    ],
  });
};
