import { referencesOf } from "../config/reference-values.ts";
import { transferOf } from "../config/unit-values.ts";
import type { SettlingChoice, TestPlan } from "../plan/test-plan.ts";
import { decodeRecord } from "../readings/record-codec.ts";
import type { RecordedEvent, RunEventOf } from "../readings/run-event.ts";
import type { PointStart } from "../run/settling/settling-rule.ts";
import type { Fault } from "../vocabulary/fault.ts";
import { kPa, mA } from "../vocabulary/quantities.ts";
import { ok, type Result } from "../vocabulary/result.ts";
import { idealOutput, percentOf, spanOf, type Transfer } from "../vocabulary/signal-range.ts";
import { filesOf, readRecord } from "./certify.ts";
import { knownParts } from "./known-parts.ts";
import type { NamedWait, ReplaySource } from "./replay-source.ts";

type Ended = RunEventOf<"point-captured"> | RunEventOf<"point-not-settled">;
type Stroke = RunEventOf<"exercised">;

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

const startOf = ({ from_percent, to_percent, ...rest }: NonNullable<Ended["wait"]>, role: PointStart["role"]) =>
  ({ ...rest, from: from_percent, to: to_percent, role }) as PointStart;

/** Records of earlier versions say no more of a wait than the commands before it. */
const startByCommands = (event: Ended, commands: readonly Commanded[]): PointStart => {
  const { nominal_percent } = event.point;
  const at_s = commands.at(-1)?.at_s ?? event.samples.at_s[0] ?? 0;
  return { at_s, from: commands.at(-2)?.percent ?? nominal_percent, to: nominal_percent, role: "point" };
};

type Known = Pick<NamedWait, "unit" | "resolution_percent" | "range_kPa">;

const samplesOf = ({ at_s, pressure_kPa }: Ended["samples"], transfer: Transfer): NamedWait["samples"] =>
  at_s.map((time_s, i) => {
    const value = pressure_kPa[i] ?? null;
    return { time_s, value: value === null ? null : percentOf(transfer.output, kPa(value)) };
  });

const waitOf = (event: Ended, commands: readonly Commanded[], transfer: Transfer, known: Known): NamedWait => {
  const { stage, ordinal, nominal_percent, direction } = event.point;
  return {
    ...known,
    name: `${stage.replace("-", " ")} ${ordinal}, ${nominal_percent} % ${direction}`,
    start: event.wait === undefined ? startByCommands(event, commands) : startOf(event.wait, "point"),
    samples: samplesOf(event.samples, transfer),
    said: saidInRun(event),
  };
};

const strokeOf = ({ wait, samples, to_percent }: Stroke, transfer: Transfer, known: Known): readonly NamedWait[] =>
  wait === undefined || samples === undefined
    ? []
    : [
        {
          ...known,
          name: `exercise to ${to_percent} %`,
          start: startOf(wait, "exercise"),
          samples: samplesOf(samples, transfer),
        },
      ];

const waitsOf = (
  events: readonly RecordedEvent[],
  transfer: Transfer,
  resolution_percent: number | null,
): readonly NamedWait[] => {
  const known: Known = {
    unit: "the unit",
    resolution_percent,
    range_kPa: { lower: transfer.output.lower_kPa, upper: transfer.output.upper_kPa },
  };
  const commands: Commanded[] = [];
  const waits: NamedWait[] = [];
  for (const { at_s, event } of events) {
    if (event.kind === "commanded")
      commands.push({ at_s, percent: percentOf(transfer.output, idealOutput(transfer, mA(event.current_mA))) });
    if (event.kind === "point-captured" || event.kind === "point-not-settled")
      waits.push(waitOf(event, commands, transfer, known));
    if (event.kind === "exercised") waits.push(...strokeOf(event, transfer, known));
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
  const waits = waitsOf(decoded.value.events, transfer, resolution_percent);
  return ok({
    waits,
    simulated,
    settling: settlingOf(header.plan),
    remarks: waits.some(({ start }) => start.role === "exercise")
      ? []
      : [
          "The record keeps the readings of the points and not those of the exercise strokes: a rule that learns in them knew the unit better in the run than here.",
        ],
  });
};
